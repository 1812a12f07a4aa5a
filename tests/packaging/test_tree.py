"""What is carried, how it is started, and that it is packed the same each time."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
from pathlib import Path

import pytest
from making import archives, elf, libraries, qtparts, tree

ROOT = Path(__file__).parents[2]


def test_only_the_modules_of_qt_that_are_imported_are_carried() -> None:
    """Every module of the program is imported, and the charts with it; what is left out is not missed."""
    code = f"""
import sys, pkgutil, importlib
for name in {qtparts.LEFT_OUT}:
    sys.modules["PySide6." + name] = None
import gearplan, pyqtgraph
for found in pkgutil.walk_packages(gearplan.__path__, "gearplan."):
    if not found.name.endswith("__main__"):
        importlib.import_module(found.name)
print(*sorted(n.split(".")[1] for n, m in sys.modules.items() if m and n.startswith("PySide6.Qt")))
"""
    told = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    inside = {
        line.split()[1].partition("PySide6.")[2]
        for path in (ROOT / "gearplan").rglob("*.py")
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.strip().startswith("from PySide6.")
    }
    assert set(told.stdout.split()) | inside == set(qtparts.MODULES)


def test_the_plugins_are_there() -> None:
    import PySide6

    folder = Path(PySide6.__path__[0]) / "Qt" / "plugins"
    assert [name for name in qtparts.PLUGINS if not (folder / name).is_file()] == []


def test_what_a_library_asks_for_is_read_as_binutils_do() -> None:
    if shutil.which("readelf") is None:
        pytest.skip("readelf is not on this machine")
    import PySide6

    for path in (Path(PySide6.__path__[0]) / "QtCore.abi3.so", Path(sys.executable).resolve()):
        told = subprocess.run(["readelf", "-dVW", path], capture_output=True, text=True, check=True).stdout
        needed = tuple(line.split("[")[1].rstrip("]") for line in told.splitlines() if "(NEEDED)" in line)
        asked = elf.asks(path)
        assert asked.libraries == needed
        names = {
            line.split("Name: ")[1].split()[0] for line in told.splitlines() if "Name: " in line and "Flags" in line
        }
        assert {name for name in names if name.startswith("GLIBC_")} == {
            name for name in asked.versions if name.startswith("GLIBC_")
        }


def test_versions_are_compared_as_numbers() -> None:
    assert elf.newest_glibc(frozenset({"GLIBC_2.4", "GLIBC_2.34", "GLIBC_2.2.5", "GLIBCXX_3.4.30"})) == (2, 34)


def test_a_library_that_no_list_names_is_refused() -> None:
    assert libraries.wanted({"libc.so.6", "libffi.so.8", "libhere.so", "libgtk-3.so.0"}, {"libhere.so"}) == {
        "libffi.so.8"
    }
    with pytest.raises(libraries.Unknown, match="libnobody"):
        libraries.wanted({"libnobody.so.1"}, set())


@pytest.fixture
def installed(tmp_path: Path) -> Path:
    """The start of an installed program in a folder of an odd name, with this Python and a program that tells."""
    home = tmp_path / "an odd ñame" / "lib" / "gearplan"
    python = home / "python" / "bin" / "python3"
    python.parent.mkdir(parents=True)
    python.write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n')
    python.chmod(0o755)
    program = home / "packages" / "gearplan"
    program.mkdir(parents=True)
    (program / "__main__.py").write_text(
        "def main():\n    import json, random, sys\n    print(json.dumps([sys.argv[1:], sys.path]))\n    return 3\n"
    )
    (home / "start.py").write_text(tree.START)
    launcher = home.parents[1] / "bin" / "gearplan"
    launcher.parent.mkdir()
    launcher.write_text(tree.LAUNCHER)
    launcher.chmod(0o755)
    return launcher


def test_the_installed_command_runs_nothing_from_the_working_folder(installed: Path, tmp_path: Path) -> None:
    folder = tmp_path / "working"
    folder.mkdir()
    for name in ("gearplan", "json", "random", "sitecustomize", "usercustomize"):
        (folder / f"{name}.py").write_text("raise SystemExit('not this one')\n")
    linked = tmp_path / "linked"
    linked.symlink_to(installed)
    hostile = {
        **os.environ,
        "PYTHONPATH": f":{folder}",
        "PYTHONSTARTUP": str(folder / "json.py"),
        "PYTHONHOME": "/none",
    }
    told = subprocess.run(
        [linked, "a b", "--c"], cwd=folder, env=hostile, capture_output=True, text=True, check=False, encoding="utf-8"
    )
    assert (told.returncode, told.stderr) == (3, "")
    assert told.stdout.startswith('[["a b", "--c"], ')
    assert str(folder) not in told.stdout


def some_tree(folder: Path, when: float) -> Path:
    (folder / "b").mkdir(parents=True)
    for name, mode in (("b/two", 0o600), ("a", 0o755), ("ü", 0o664)):
        path = folder / name
        path.write_text(name * 100)
        path.chmod(mode)
        os.utime(path, (when, when))
    return folder


def test_the_same_files_are_the_same_bytes(tmp_path: Path) -> None:
    first, second = some_tree(tmp_path / "x", 1e9), some_tree(tmp_path / "y", 1.5e9)
    assert archives.packed(first, "gearplan-1", 1700000000) == archives.packed(second, "gearplan-1", 1700000000)
    assert archives.deb(first, second, 1700000000) == archives.deb(second, first, 1700000000)
    assert archives.gzipped("x") == archives.gzipped("x")
    (second / "a").write_text("other")
    assert archives.packed(first, "gearplan-1", 1700000000) != archives.packed(second, "gearplan-1", 1700000000)


def test_what_is_packed_belongs_to_root_and_is_readable(tmp_path: Path) -> None:
    archive = tmp_path / "x.tar.xz"
    archive.write_bytes(archives.packed(some_tree(tmp_path / "x", 1e9), "gearplan-1", 1700000000))
    with tarfile.open(archive) as opened:
        found = {one.name: one for one in opened}
    assert list(found) == ["gearplan-1", "gearplan-1/a", "gearplan-1/b", "gearplan-1/b/two", "gearplan-1/ü"]
    assert {(one.uid, one.gid, one.uname, one.mtime) for one in found.values()} == {(0, 0, "root", 1700000000)}
    assert {name: one.mode for name, one in found.items() if one.isfile()} == {
        "gearplan-1/a": 0o755,
        "gearplan-1/b/two": 0o644,
        "gearplan-1/ü": 0o644,
    }


def test_debian_s_own_tool_reads_the_package(tmp_path: Path) -> None:
    if shutil.which("dpkg-deb") is None:
        pytest.skip("dpkg-deb is not on this machine")
    control, data, package = tmp_path / "control", some_tree(tmp_path / "data", 1e9), tmp_path / "x.deb"
    control.mkdir()
    (control / "control").write_text(
        "Package: x\nVersion: 1\nArchitecture: all\nMaintainer: X <x@localhost>\nDescription: x\n"
    )
    (control / "md5sums").write_text(archives.sums(data))
    package.write_bytes(archives.deb(control, data, 1700000000))
    told = subprocess.run(["dpkg-deb", "--field", package, "Package"], capture_output=True, text=True, check=True)
    assert told.stdout == "x\n"
    subprocess.run(["dpkg-deb", "--extract", package, tmp_path / "out"], check=True)
    assert (tmp_path / "out" / "b" / "two").read_text() == "b/two" * 100
    checked = subprocess.run(["md5sum", "--check", "--quiet", control / "md5sums"], cwd=tmp_path / "out", check=False)
    assert checked.returncode == 0
