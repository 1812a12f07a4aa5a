"""The two commands and the wheel."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from importlib.resources import files
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def source_archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What `python -m build --sdist` unpacks to, made from a copy of the project."""
    folder = tmp_path_factory.mktemp("sdist")
    tree = folder / "tree"
    made = shutil.ignore_patterns(".git", ".venv*", "*cache*", "*.egg-info", ".hypothesis")

    def left_out(inside: str, names: list[str]) -> set[str]:
        return {*made(inside, names), *(("build", "dist") if Path(inside) == ROOT else ())}

    shutil.copytree(ROOT, tree, ignore=left_out)
    code = f"from setuptools.build_meta import build_sdist; build_sdist({str(folder)!r})"
    subprocess.run([sys.executable, "-c", code], cwd=tree, check=True, capture_output=True)
    [archive] = folder.glob("gearplan-*.tar.gz")
    with tarfile.open(archive) as opened:
        opened.extractall(folder, filter="data")
    return folder / archive.name.removesuffix(".tar.gz")


def test_the_source_archive_holds_all_that_the_tests_need(source_archive: Path) -> None:
    def held(root: Path) -> set[str]:
        return {
            str(path.relative_to(root))
            for top in ("gearplan", "tests", "packaging", ".ci")
            for path in (root / top).rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
        }

    assert held(ROOT) <= held(source_archive)
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "MANIFEST.in"):
        assert (source_archive / name).read_bytes() == (ROOT / name).read_bytes()


def test_the_wheel_holds_the_resources_and_finds_them(tmp_path: Path, source_archive: Path) -> None:
    pip: list[str | Path] = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-deps",
        "--no-build-isolation",
        "-w",
        tmp_path,
    ]
    subprocess.run([*pip, source_archive], check=True, capture_output=True)
    [wheel] = tmp_path.glob("gearplan-*.whl")
    shipped = {str(path.relative_to(ROOT)) for path in (ROOT / "gearplan" / "resources").rglob("*") if path.is_file()}
    with zipfile.ZipFile(wheel) as archive:
        held = set(archive.namelist())
        archive.extractall(tmp_path / "site")
    assert shipped <= held
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


def test_no_link_is_needed_where_there_are_none() -> None:
    kept = ("gearplan", "tests", "packaging")
    assert not [path for top in kept for path in (ROOT / top).rglob("*") if path.is_symlink()]
    assert not (ROOT / "resources").exists()


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
