"""`gearplan sheet` and `gearplan jobs`: the paper and the history without a window."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest

from gearplan.bike.files.bikefile import read_bike, save_bike
from gearplan.bike.profile import Service
from gearplan.cli import run
from gearplan.plan.job.finishing import finish
from gearplan.plan.job.job import with_job
from tests.plan.job.workshop import checked, conversion, serviced, signed

# Drawing needs an application; in this process it is the one that all tests share.
pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """A bike file with a finished conversion."""
    bike = serviced()
    job = signed(bike, conversion(bike))
    path = tmp_path / "one.bike.toml"
    save_bike(path, checked(finish(with_job(bike, job, job), job)), None)
    return path


def pages(path: Path) -> str:
    return " ".join(page.extract_text().replace("\t", " ") for page in pypdf.PdfReader(path).pages)


def test_a_blank_sheet_in_a_process_of_its_own(tmp_path: Path, kept: Path) -> None:
    target = tmp_path / "sheet.pdf"
    asked = ["sheet", str(kept), "--front", "15", "--rear", "45", "--links", "112", "--paper", "letter", "-o"]
    done = subprocess.run(
        [sys.executable, "-m", "gearplan", *asked, str(target)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert f"Written: {target}" in done.stdout
    assert "525: 16/47 → 15/45" in pages(target)
    assert pypdf.PdfReader(target).pages[0].mediabox.width == 612


def test_another_chain_size_by_command(tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "sheet.pdf"
    assert run(["sheet", str(kept), "--chain", "520", "-o", str(target)]) == 0
    assert "520 conversion (from 525)" in pages(target)
    assert "520 conversion" in capsys.readouterr().out


def test_the_filled_sheet_of_a_kept_job(tmp_path: Path, kept: Path) -> None:
    target = tmp_path / "sheet.pdf"
    assert run(["sheet", str(kept), "--filled", "-o", str(target), "--paper", "A4"]) == 0
    text = pages(target)
    assert "17.56 mm" in text
    assert "525 conversion (from 520): 15/46 → 16/47" in text
    assert run(["sheet", str(kept), "--filled", "1", "-o", str(target)]) == 0


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["--paper", "a3", "-o", "x.pdf"], "“a3” is no paper here"),
        (["-o", "x.png"], "must end in .pdf"),
        (["-o", "/nowhere/at/all/x.pdf"], "No such file or directory"),
        (["--front", "500", "-o", "x.pdf"], "Front sprocket: 500"),
        (["--chain", "521", "-o", "x.pdf"], "Chain size: “521” is not one of"),
        (["--filled", "7", "-o", "x.pdf"], "this bike file has 1 job"),
        (["--filled", "--front", "14", "-o", "x.pdf"], "has a set of its own"),
        (["--tyre", "180/55-17", "-o", "x.pdf"], "leave the tyre out"),
        ([], "required"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(
    kept: Path, capsys: pytest.CaptureFixture[str], asked: list[str], told: str
) -> None:
    assert run(["sheet", str(kept), *asked]) == 2
    said = capsys.readouterr()
    assert told in said.err
    assert said.err.count("\n") == 1
    assert not said.out


def test_what_the_manual_still_has_to_tell_is_said(
    tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = tmp_path / "bare.bike.toml"
    save_bike(bare, replace(read_bike(kept).bike, service=Service(), jobs=()), None)
    assert run(["sheet", str(bare), "--rear", "48", "-o", str(tmp_path / "x.pdf")]) == 0
    said = capsys.readouterr().out
    assert "Still to be taken from the manual: Rear sprocket's nuts; the sheet has a line for it. In the file" in said
    assert "[service] rear_nuts_nm." in said


def test_no_job_to_fill_is_said(tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    empty = tmp_path / "empty.bike.toml"
    save_bike(empty, replace(read_bike(kept).bike, jobs=()), None)
    assert run(["sheet", str(empty), "--filled", "-o", str(tmp_path / "x.pdf")]) == 2
    assert "there is no job in this bike file yet" in capsys.readouterr().err


def test_jobs_of_a_folder(tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "bad.bike.toml").write_text("nonsense", encoding="utf-8")
    assert run(["jobs", str(tmp_path), "--words", "525 conversion"]) == 0
    said = capsys.readouterr().out
    assert "one.bike.toml: Brindle 650: 2026-05-31, 18650 km (11589 mi): 525 conversion (from 520)" in said
    assert "Skipped: " in said
    assert run(["jobs", str(tmp_path), "--words", "520 conversion"]) == 0
    assert "Nothing found." in capsys.readouterr().out
    assert run(["jobs", str(kept), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["files"] == 1
    assert answer["jobs"][0]["old_chain"] == "520"
    assert answer["jobs"][0]["odometer_km"] == 18650
    assert run(["jobs", str(tmp_path / "bad.bike.toml")]) == 2
    assert "bad.bike.toml: not a readable bike file" in capsys.readouterr().err


def test_chains_due(tmp_path: Path, kept: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bike = read_bike(kept).bike
    worn = replace(bike.wear, readings=((19000.0, 318.0), (28000.0, 326.0)))
    save_bike(tmp_path / "two.bike.toml", replace(bike, wear=worn), None)
    assert run(["jobs", str(tmp_path), "--chains-due", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [Path(found["file"]).name for found in answer["chains_due"]] == ["two.bike.toml"]
    assert answer["chains_due"][0]["fitted_km"] == 18650
    assert run(["jobs", str(tmp_path / "nowhere")]) == 2
    assert "cannot be searched" in capsys.readouterr().err
    (tmp_path / "none").mkdir()
    assert run(["jobs", str(tmp_path / "none")]) == 0
    assert "There are no bike files" in capsys.readouterr().out
