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


def test_libraries_for_a_display_are_only_wanted_with_one(tmp_path: Path) -> None:
    code = f"""set -euo pipefail
. "{ROOT}/packaging/setup.sh"
base_python=python3 always=libc.so.6:libc6 for_x=libno-x.so:libno-x1 for_wayland=libno-w.so:libno-w1
missing_libraries"""

    def missing(display: str, wayland: str) -> str:
        environment = {**os.environ, "DISPLAY": display, "WAYLAND_DISPLAY": wayland}
        return subprocess.run(
            ["bash", "-c", code], cwd=tmp_path, env=environment, stdout=subprocess.PIPE, text=True, check=True
        ).stdout

    assert missing("", "") == ""
    assert missing(":0", "w") == "libno-x1\n"
    assert missing("", "w") == "libno-w1\n"
