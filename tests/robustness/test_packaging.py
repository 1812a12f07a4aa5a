"""The two commands and the wheel."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from importlib.resources import files
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def test_the_wheel_holds_the_resources_and_finds_them(tmp_path: Path) -> None:
    tree = tmp_path / "tree"
    shutil.copytree(
        ROOT, tree, symlinks=True, ignore=shutil.ignore_patterns(".git", ".venv*", "*cache*", "build", "*.egg-info")
    )
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "-w", tmp_path, tree],
        check=True,
        capture_output=True,
    )
    [wheel] = tmp_path.glob("gearplan-*.whl")
    shipped = {str(p.relative_to(ROOT / "resources")) for p in (ROOT / "resources").rglob("*") if p.is_file()}
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
        archive.extractall(tmp_path / "site")
    assert {f"gearplan/resources/{name}" for name in shipped} <= held
    assert not [name for name in held if name.startswith(("tests", "resources", "packaging"))]
    code = "from gearplan.bike.library import resource; print(resource('tables', 'chains.csv').read_text()[:7])"
    told = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(tmp_path / "site")},
        capture_output=True,
        text=True,
        check=True,
    )
    assert told.stdout.startswith("# Rolle")


def test_the_checkout_s_resources_are_reached_the_same_way() -> None:
    assert (files("gearplan.resources") / "tables" / "chains.csv").read_text(encoding="utf-8").startswith("# Rolle")


@pytest.mark.parametrize("name", ["run", "test", "setup.sh"])
def test_the_scripts_are_sound_shell(name: str) -> None:
    subprocess.run(["bash", "-n", str(ROOT / "packaging" / name)], check=True)
    if name != "setup.sh":
        assert os.access(ROOT / "packaging" / name, os.X_OK)


def setup(tmp_path: Path, *lines: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Source the shared part and run some lines of shell with it."""
    code = "\n".join(["set -euo pipefail", f'. "{ROOT}/packaging/setup.sh"', "find_python", *lines])
    return subprocess.run(
        ["bash", "-c", code],
        cwd=tmp_path,
        env={**os.environ, **environment},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_missing_library_without_rights_is_named_with_the_line_that_installs_it(tmp_path: Path) -> None:
    told = setup(
        tmp_path,
        "always='libno-such-thing.so.9:libno-such-thing9'",
        "id() { echo 1000; }",
        "sudo() { return 1; }",
        "apt-get() { echo called >&2; }",
        "install_packages",
    )
    assert told.returncode == 1
    assert "apt-get install -y --no-install-recommends libno-such-thing9" in told.stderr
    assert "called" not in told.stderr


def test_nothing_is_asked_for_when_nothing_is_missing(tmp_path: Path) -> None:
    told = setup(tmp_path, "always='libc.so.6:libc6'", "unset DISPLAY WAYLAND_DISPLAY", "install_packages")
    assert told.returncode == 0, told.stderr
    assert told.stderr == ""


def test_libraries_for_a_display_are_only_wanted_with_one(tmp_path: Path) -> None:
    lines = ("always=''", "for_x='libno-x.so:libno-x1'", "for_wayland='libno-w.so:libno-w1'", "missing_packages")
    assert setup(tmp_path, *lines, DISPLAY="", WAYLAND_DISPLAY="").stdout == ""
    assert setup(tmp_path, *lines, DISPLAY=":0", WAYLAND_DISPLAY="w").stdout == "libno-x1\n"
    assert setup(tmp_path, *lines, DISPLAY="", WAYLAND_DISPLAY="w").stdout == "libno-w1\n"
