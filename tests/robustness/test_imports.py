"""What is imported where: the one-way street, a light start, and a binding that keeps its references."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QWidget

ROOT = Path(__file__).parents[2]


def imported_after(code: str) -> set[str]:
    told = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys\nprint(*sys.modules)"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return {name.split(".")[0] for name in told.stdout.split()}


@pytest.mark.parametrize(
    "code",
    [
        "import gearplan.bike.files.bikefile, gearplan.bike.demo",
        "import gearplan.drive.chain.chainrun, gearplan.drive.gearing, gearplan.drive.tyre",
        "import gearplan.plan.set.grid, gearplan.commands.output.numbersjson, gearplan.plan.set.how.numbers",
        "import gearplan.photo.profile, gearplan.photo.numbering, gearplan.photo.picture",
        "from gearplan import cli; cli.run(['numbers'])",
    ],
)
def test_computation_and_numbers_need_no_qt(code: str) -> None:
    assert not imported_after(code) & {"PySide6", "shiboken6", "pyqtgraph"}


def test_the_frame_of_the_window_needs_neither_numpy_nor_charts() -> None:
    """Whatever is imported before the first paint delays it."""
    code = "import gearplan.window.frame.workbench"
    assert "PySide6" in imported_after(code)
    assert not imported_after(code) & {"numpy", "pyqtgraph", "tomlkit", "xlsxwriter"}


def test_the_program_never_needs_what_only_tests_need() -> None:
    code = (
        "import os; os.environ['QT_QPA_PLATFORM'] = 'offscreen'\n"
        "from pathlib import Path; import tempfile\n"
        "from gearplan.window.frame import application\n"
        "application.photograph(None, Path(tempfile.mkdtemp()) / 'x.png')"
    )
    names = imported_after(code)
    assert {"numpy", "pyqtgraph"} <= names
    assert not names & {"scipy", "pint", "shapely", "pydantic", "hypothesis", "pytest"}


def test_the_binding_s_version_is_capped() -> None:
    """PySide6 6.12.0 on Python 3.11 loses a reference to None in nearly every call and aborts after thousands."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    [binding] = [line for line in project["dependencies"] if line.startswith("PySide6")]
    assert binding == "PySide6-Essentials>=6.9.2,<6.12"


def test_the_binding_keeps_its_references(qapp: QApplication) -> None:
    """A thousand calls that return None must not use up references to it; from Python 3.12 on it has none to lose."""
    widget = QWidget()
    widget.update()
    before = sys.getrefcount(None)
    for _ in range(1000):
        widget.update()
    assert abs(sys.getrefcount(None) - before) < 50


def test_an_import_against_the_arrow_is_noticed(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "gearplan", tmp_path / "gearplan", ignore=shutil.ignore_patterns("resources", "__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    sprocket = tmp_path / "gearplan" / "drive" / "sprocket.py"
    sprocket.write_text(sprocket.read_text() + "\nfrom gearplan.plan import findings\n")
    told = subprocess.run(
        [str(Path(sys.executable).with_name("lint-imports")), "--no-cache"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode != 0
    assert "gearplan.drive.sprocket -> gearplan.plan.findings" in told.stdout
