"""Nothing in the program keeps it from other systems; it was not tried there, so this is what is looked for."""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from gearplan.bike.files.lock import lock
from gearplan.window.frame.display import display_problem

ROOT = Path(__file__).parents[2]
SOURCES = sorted((ROOT / "gearplan").rglob("*.py"))

#: Modules, and functions of `os`, that Python has on one kind of system only, by its library reference.
ONE_SYSTEM = {"fcntl", "grp", "msvcrt", "posix", "pty", "pwd", "resource", "syslog", "termios", "tty", "winreg"}
OS_ONE_SYSTEM = {
    "chown",
    "fchmod",
    "fchown",
    "fork",
    "getgid",
    "geteuid",
    "getuid",
    "mkfifo",
    "setsid",
    "uname",
    "nice",
}
#: Modules that listen or call: the program has nothing to do on a network, nor with a socket that not all have.
NETWORK = {"http", "socket", "socketserver", "ssl", "urllib"}


def reached(tree: ast.AST) -> Iterator[ast.AST]:
    """All nodes but those behind a question for `sys.platform`."""
    for node in ast.iter_child_nodes(tree):
        if isinstance(node, ast.If) and "sys.platform" in ast.unparse(node.test):
            continue
        yield node
        yield from reached(node)


def hindrances(code: str) -> list[str]:
    found = []
    for node in reached(ast.parse(code)):
        match node:
            case ast.Import(names=names):
                found += [name.name for name in names if name.name.partition(".")[0] in ONE_SYSTEM | NETWORK]
            case ast.ImportFrom(module=str(module)) if module.partition(".")[0] in ONE_SYSTEM | NETWORK:
                found.append(module)
            case ast.Attribute(value=ast.Name(id="os"), attr=attr) if attr in OS_ONE_SYSTEM:
                found.append(f"os.{attr}")
            case ast.Constant(value=str(text)) if text.startswith(("/tmp", "/proc", "/usr", "/home", "/etc", "C:\\")):
                found.append(text)
            case ast.Call(func=ast.Attribute(attr="read_text" | "write_text", value=owner), keywords=keywords):
                # The encoding that a system takes by itself is not UTF-8 everywhere.
                if not any(word.arg == "encoding" for word in keywords) and ast.unparse(owner) != "enginecurve":
                    found.append(ast.unparse(node))
            case _:
                pass
    return found


def test_a_hindrance_is_found() -> None:
    code = """
import fcntl, sys
from pwd import getpwnam
if sys.platform != "win32":
    import grp
    os.getuid()
os.fchmod(1, 2)
Path("/tmp/x").read_text()
Path(name).write_text("", encoding="utf-8")
"""
    assert hindrances(code) == ["fcntl", "pwd", "os.fchmod", "Path('/tmp/x').read_text()", "/tmp/x"]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_module_hinders(path: Path) -> None:
    assert hindrances(path.read_text(encoding="utf-8")) == []


def test_file_names_can_be_told_apart_and_written_everywhere() -> None:
    names = [str(path.relative_to(ROOT)) for top in ("gearplan", "tests") for path in (ROOT / top).rglob("*")]
    shipped = [name for name in names if "__pycache__" not in name]
    assert not [name for name in shipped if set(name) & set('<>:"|?*\\')]
    assert len({name.lower() for name in shipped}) == len(shipped)


@pytest.mark.parametrize("system", ["win32", "darwin"])
def test_only_systems_with_display_servers_are_asked_for_one(system: str, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("QT_QPA_PLATFORM", "DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    assert display_problem() is not None
    monkeypatch.setattr(sys, "platform", system)
    assert display_problem() is None


def test_a_lock_is_held_by_one(tmp_path: Path) -> None:
    path = tmp_path / "a.lock"
    with path.open("ab") as first, path.open("ab") as second:
        lock(first)
        with pytest.raises(BlockingIOError):
            lock(second)
    with path.open("ab") as third:
        lock(third)
