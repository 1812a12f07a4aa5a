"""System packages: asked for only by what draws, and never installed without a yes."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from gearplan.commands import COMMANDS
from tests.robustness.standins import ROOT, Checkout

_LINE = "apt-get install -y --no-install-recommends libno-such-thing9"


@pytest.fixture
def checkout(tmp_path: Path) -> Checkout:
    """Of an ordinary user without the graphics libraries, who needs no password for sudo."""
    made = Checkout(tmp_path)
    made.drawing_needs("libno-such-thing.so.9", "libno-such-thing9")
    made.stand_in("id", "#!/bin/sh\necho 1000\n")
    made.stand_in("sudo", f'#!/bin/sh\necho "sudo $*" >>"{tmp_path}/done"\nexec "$@"\n')
    made.stand_in("apt-get", f'#!/bin/sh\necho "apt-get $*" >>"{tmp_path}/done"\n')
    return made


def done(checkout: Checkout) -> list[str]:
    """What was run with rights."""
    told = checkout.folder / "done"
    return told.read_text().splitlines() if told.exists() else []


def answered(checkout: Checkout, answer: bytes) -> tuple[int, str, str]:
    """Start the window on a terminal and type that; returns exit code, output and what the terminal showed."""
    ours, theirs = os.openpty()
    work = subprocess.Popen(
        [str(checkout.project / "packaging" / "run")],
        cwd=checkout.folder,
        env=checkout.environment(),
        stdin=theirs,
        stdout=subprocess.PIPE,
        stderr=theirs,
        text=True,
        start_new_session=True,
    )
    os.close(theirs)
    shown = b""
    while True:
        try:
            more = os.read(ours, 4096)
        except OSError:  # the other end is closed
            break
        if not more:
            break
        if b"[y/N] " in shown + more and b"[y/N] " not in shown:
            os.write(ours, answer)
        shown += more
    os.close(ours)
    out, _ = work.communicate()
    return work.returncode, out, shown.decode()


@pytest.mark.parametrize("answer", [b"\n", b"n\n", b"no\n", b"yellow\n", b"\x04"])
def test_on_a_terminal_nothing_is_installed_without_a_yes(checkout: Checkout, answer: bytes) -> None:
    code, out, shown = answered(checkout, answer)
    assert (code, out) == (1, "")
    assert f"sudo {_LINE}\r\n" in shown
    assert shown.index(_LINE) < shown.index("[y/N]")
    assert done(checkout) == []


@pytest.mark.parametrize("answer", [b"y\n", b"YES\n"])
def test_on_a_terminal_a_yes_runs_the_line_that_was_shown(checkout: Checkout, answer: bytes) -> None:
    code, out, shown = answered(checkout, answer)
    assert (code, out) == (0, "started\n")
    assert f"sudo {_LINE}\r\n" in shown
    assert done(checkout) == [f"sudo {_LINE}", _LINE]


def test_old_package_lists_are_renewed_and_then_it_is_tried_again(checkout: Checkout) -> None:
    marks = checkout.folder
    checkout.stand_in(
        "apt-get",
        f'#!/bin/sh\necho "apt-get $*" >>"{marks}/done"\n'
        f'case $1 in update) touch "{marks}/new" ;; *) [ -e "{marks}/new" ] ;; esac\n',
    )
    code, out, shown = answered(checkout, b"y\n")
    assert (code, out) == (0, "started\n")
    assert "sudo apt-get update" in shown
    assert done(checkout)[::2] == [f"sudo {_LINE}", "sudo apt-get update", f"sudo {_LINE}"]


def test_what_cannot_be_installed_is_said(checkout: Checkout) -> None:
    checkout.stand_in("apt-get", "#!/bin/sh\nexit 100\n")
    code, out, shown = answered(checkout, b"y\n")
    assert (code, out) == (1, "")
    assert f"could not install; by hand: {_LINE}" in shown


def test_without_a_terminal_the_line_is_said_and_not_run(checkout: Checkout) -> None:
    told = checkout.start()
    assert (told.returncode, told.stdout) == (1, "")
    assert f"  {_LINE}\n" in told.stderr
    assert done(checkout) == []


def test_without_sudo_the_line_is_for_an_administrator(checkout: Checkout) -> None:
    (checkout.commands / "sudo").unlink()
    paths = f"{checkout.commands}:/usr/bin:/bin"
    if any(Path(folder, "sudo").exists() for folder in ("/usr/bin", "/bin")):
        pytest.skip("this machine has a sudo")
    told = checkout.start(PATH=paths)
    assert told.returncode == 1
    assert "Let an administrator run" in told.stderr
    assert f"  {_LINE}\n" in told.stderr


def test_root_is_shown_the_line_and_not_asked(checkout: Checkout) -> None:
    checkout.stand_in("id", "#!/bin/sh\necho 0\n")
    told = checkout.start()
    assert (told.returncode, told.stdout) == (0, "started\n")
    assert f"{_LINE}\n" in told.stderr
    assert done(checkout) == [_LINE]


def test_the_missing_part_of_python_is_named(checkout: Checkout) -> None:
    hidden = checkout.folder / "hidden"
    hidden.mkdir()
    (hidden / "sitecustomize.py").write_text("import sys; sys.modules['ensurepip'] = None\n")
    told = checkout.start("--version", PYTHONPATH=str(hidden))
    assert told.returncode == 1
    package = f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"
    assert f"  apt-get install -y --no-install-recommends {package}\n" in told.stderr
    assert checkout.start("--version").returncode == 0
    assert checkout.start("--version", PYTHONPATH=str(hidden)).returncode == 0, "it is there already"


#: What draws, with a letter of each option for the file to write.
_DRAWN = (
    "",
    "a.bike.toml",
    "picture a.bike.toml -o a.png",
    "picture -oa.png",
    "sheet a.bike.toml --front 15 --output=a.pdf",
    "customer a.bike.toml -o a.pdf",
    "customer --out a.pdf",
    "board a.bike.toml --circuit a.circuit.toml -o a.pdf",
    "sessions --out a.pdf",
)

#: One line for each command: what it is asked in the test below, without drawing.
_TEXT = {
    "numbers": "numbers {bike} --json",
    "choices": 'choices {bike} --wish "keep the rear sprocket"',
    "lap": "lap {bike} {circuit} --front 15-15 --rear 46-46",
    "log": "log {log} {bike}",
    "jobs": "jobs {folder}",
    "customer": "customer {bike} --front 16",
    "sheet": "sheet --help",
    "picture": "picture {bike} --help",
    "bikes": "bikes {folder}",
    "season": "season {bike} {circuit} --front 15-15 --rear 46-46",
    "book": "book {book}",
    "board": "board --help",
    "sessions": "sessions --help",
}


@pytest.mark.parametrize("asked", _DRAWN)
def test_what_draws_asks_for_the_libraries(checkout: Checkout, asked: str) -> None:
    told = checkout.start(*asked.split())
    assert told.returncode == 1
    assert _LINE in told.stderr


@pytest.mark.parametrize("asked", ["--help", "-h", "--version", "--no-such-thing", "a.bike.toml b", *_TEXT.values()])
def test_what_writes_text_asks_for_nothing(checkout: Checkout, asked: str) -> None:
    told = checkout.start(*asked.split())
    assert (told.returncode, told.stdout) == (0, f"started {asked}\n"), told.stderr


_WITHOUT_QT = """
import contextlib, io, shlex, sys
sys.modules |= dict.fromkeys(("PySide6", "shiboken6", "pyqtgraph"))
from gearplan import cli
from gearplan.commands import COMMANDS
for line in sys.argv[1:]:
    with contextlib.suppress(SystemExit), contextlib.redirect_stdout(io.StringIO()):
        try:
            assert cli.run(shlex.split(line)) == 0, line
        except ModuleNotFoundError:
            print(line.split()[0], file=sys.stderr)
"""


def without_qt(*lines: str) -> set[str]:
    """Carry out those commands without Qt; returns the names of those that want it."""
    told = subprocess.run(
        [sys.executable, "-c", _WITHOUT_QT, *lines], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert told.returncode == 0, told.stderr
    return set(told.stderr.split())


def test_the_commands_draw_as_the_start_up_script_knows(tmp_path: Path) -> None:
    """A new command has to be entered above, and in the script."""
    assert set(_TEXT) == set(COMMANDS)
    bike = next((ROOT / "gearplan" / "resources" / "bikes").glob("*.bike.toml"))
    circuit = next((ROOT / "gearplan" / "resources" / "circuits").glob("*.circuit.toml"))
    log = tmp_path / "ride.csv"
    log.write_text("time_s,rpm,speed_kmh\n" + "".join(f"{i / 10},{4000 + i},{80 + i / 50}\n" for i in range(600)))
    book = tmp_path / "own.book.toml"
    book.write_text("format = 1\n[[entry]]\nfront = 15\nrear = 46\n")
    given = {"bike": bike, "circuit": circuit, "log": log, "folder": bike.parent, "book": book}
    assert without_qt(*(line.format_map(given) for line in _TEXT.values())) == set()
    names = ("picture", "sheet", "customer", "sessions")
    drawn = [f"{name} {bike} -o {tmp_path}/page.pdf" for name in names]
    drawn.append(f"board {bike} --circuit {circuit} -o {tmp_path}/page.pdf")
    assert without_qt(*drawn) == {*names, "board"}
