"""A copy of the start-up scripts with stand-ins for Python's venv and pip, so that they can be failed and killed.

No network and no system package is touched. The stand-in of the program tells whether every package is whole.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
PYTHON = Path(sys.executable).resolve()
_SITE = f"lib/python{sys.version_info[0]}.{sys.version_info[1]}/site-packages"

#: Points at which the stand-ins fail ("fail venv-begun") or kill the whole start ("kill venv-begun"), in order.
POINTS = ("venv-asked", "venv-begun", "venv-done", "list-asked", "pip-asked", "pip-half", "pip-done")

_PYTHON3 = f"""#!/bin/sh
at() {{ case "$STAND_IN" in "fail $1") exit 1 ;; "kill $1") kill -9 0 ;; esac; }}
case "$*" in
  *"-m venv "*) for home; do :; done ;;
  "-I - "*) at list-asked; exec "{PYTHON}" "$@" ;;
  *) exec "{PYTHON}" "$@" ;;
esac
at venv-asked
mkdir -p "$home/bin" "$home/{_SITE}/pip" || exit 1
printf "home = %s\\ninclude-system-site-packages = false\\n" "{PYTHON.parent}" >"$home/pyvenv.cfg" || exit 1
at venv-begun
ln -sf "{PYTHON}" "$home/bin/python" || exit 1
cp "$STAND_IN_PIP" "$home/{_SITE}/pip/__main__.py" || exit 1
at venv-done
"""

# Writes each package in two halves, as a download is unpacked; waits in between for a file if told to.
_PIP = """
import os, re, signal, sys, time
from pathlib import Path

def at(point):
    match os.environ.get("STAND_IN", "").split():
        case ["fail", told] if told == point:
            sys.exit("ERROR: no network")
        case ["kill", told] if told == point:
            os.killpg(0, signal.SIGKILL)
        case ["wait", told] if told == point:
            Path(os.environ["STAND_IN_AT"]).touch()
            while not Path(os.environ["STAND_IN_GO"]).exists():
                time.sleep(0.01)

at("pip-asked")
Path(os.environ["STAND_IN_CALLS"]).open("a").write("pip\\n")
site = Path(__file__).parents[1]
if "STAND_IN_ELSEWHERE" in os.environ:
    site = Path(os.environ["STAND_IN_ELSEWHERE"])
for line in Path(sys.argv[sys.argv.index("--requirement") + 1]).read_text().splitlines():
    if name := re.match(r"[\\w.-]+", line):
        folder = site / f"{name[0].replace('-', '_')}-1.dist-info"
        if folder.exists():
            continue  # as pip does: what is there is taken as it is
        folder.mkdir(parents=True)
        (folder / "METADATA").write_text(f"Metadata-Version: 2.1\\nName: {name[0]}\\nVersion: 1\\n")
        at("pip-half")
        (folder / "unpacked").touch()
at("pip-done")
"""

_PROGRAM = """
import os, sys
from importlib.metadata import distributions, version
[version(name) for name in ("PySide6-Essentials", "pyqtgraph", "numpy", "tomlkit", "XlsxWriter")]
for found in distributions():
    if found.read_text("unpacked") is None:
        sys.exit(f"{found.name} is half there")
if "STAND_IN_TESTS" in os.environ:
    [version(name) for name in ("pytest", "mypy", "ruff")]
print("started", *sys.argv[1:])
"""

_TESTS = """#!/usr/bin/env bash
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/setup.sh"
prepare test no
export PYTHONPATH=$project STAND_IN_TESTS=yes
exec "$python" -m gearplan "$@"
"""

# Writes down each line of the filling, or kills the whole start before one of them.
_TRACE = """
before_line() {
  [ "$2" = fill ] || return 0
  [ -n "$KILL_BEFORE" ] || echo "$1" >>"$LINES"
  [ "$KILL_BEFORE" != "$1" ] || kill -9 0
}
set -T
trap 'before_line "$LINENO" "${FUNCNAME[0]:-}"' DEBUG
"""


class Checkout:
    """A checkout in a folder of its own, with stand-ins before the search path."""

    def __init__(self, folder: Path) -> None:
        """Copy the scripts into `folder`/checkout."""
        self.folder = folder
        self.project = folder / "checkout"
        self.commands = folder / "commands"
        self.commands.mkdir()
        (self.project / "gearplan").mkdir(parents=True)
        shutil.copytree(ROOT / "packaging", self.project / "packaging", ignore=shutil.ignore_patterns("*.png"))
        shutil.copy(ROOT / "pyproject.toml", self.project)
        (self.project / "gearplan" / "__main__.py").write_text(_PROGRAM)
        (folder / "stand-in-pip").write_text(_PIP)
        (folder / "trace.sh").write_text(_TRACE)
        self.drawing_needs("libc.so.6", "libc6")
        self.stand_in("python3", _PYTHON3)
        tests = self.project / "packaging" / "prepare-tests"
        tests.write_text(_TESTS)
        tests.chmod(0o755)

    @property
    def home(self) -> Path:
        """The private environment."""
        return self.project / ".venv"

    @property
    def calls(self) -> int:
        """How often pip has begun to install."""
        told = self.folder / "calls"
        return len(told.read_text().splitlines()) if told.exists() else 0

    def stand_in(self, name: str, text: str) -> None:
        """A command of that name, found before the machine's own."""
        path = self.commands / name
        path.write_text(text)
        path.chmod(0o755)

    def drawing_needs(self, library: str, package: str) -> None:
        """Let this be the one library that Qt loads, and the package that brings it."""
        script = self.project / "packaging" / "setup.sh"
        text, changed = re.subn(r"always='[^']*'", f"always='{library}:{package}'", script.read_text())
        assert changed == 1
        script.write_text(text)

    def environment(self, **given: str) -> dict[str, str]:
        """The variables of a start: the stand-ins' ones are set by `given`."""
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("PIP_", "PYTHON"))}
        paths = {"STAND_IN_PIP": "stand-in-pip", "STAND_IN_CALLS": "calls", "STAND_IN_AT": "at", "STAND_IN_GO": "go"}
        return (
            kept
            | {name: str(self.folder / path) for name, path in paths.items()}
            | {"PATH": f"{self.commands}:{os.environ['PATH']}", "STAND_IN": "", "DISPLAY": "", "WAYLAND_DISPLAY": ""}
            | given
        )

    def begin(self, *arguments: str, script: str = "run", **given: str) -> subprocess.Popen[str]:
        """Start a script in a process group of its own, without a terminal."""
        return subprocess.Popen(
            [str(self.project / "packaging" / script), *arguments],
            cwd=self.folder,
            env=self.environment(**given),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            start_new_session=True,
        )

    def start(self, *arguments: str, script: str = "run", **given: str) -> subprocess.CompletedProcess[str]:
        """The same, waited for."""
        work = self.begin(*arguments, script=script, **given)
        out, said = work.communicate()
        return subprocess.CompletedProcess(work.args, work.returncode, out, said)

    def lines(self, script: str) -> list[str]:
        """The lines of the filling that this start runs through, each once."""
        told = self.folder / "lines"
        self.start(script=script, BASH_ENV=str(self.folder / "trace.sh"), LINES=str(told), KILL_BEFORE="")
        return list(dict.fromkeys(told.read_text().split()))

    def kill_before(self, line: str, script: str) -> int:
        """Start, and kill everything before that line; returns the exit code."""
        trace = str(self.folder / "trace.sh")
        return self.start(script=script, BASH_ENV=trace, LINES=os.devnull, KILL_BEFORE=line).returncode

    def keep(self) -> None:
        """Keep the checkout as it is now."""
        shutil.copytree(self.project, self.folder / "kept", symlinks=True)

    def put_back(self) -> None:
        """The checkout as it was kept."""
        shutil.rmtree(self.project)
        shutil.copytree(self.folder / "kept", self.project, symlinks=True)
