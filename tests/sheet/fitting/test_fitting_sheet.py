"""The fitting sheet as a PDF: page size and count, embedded fonts, every number on it, nothing lost or clipped."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtCore import QRectF
from PySide6.QtWidgets import QApplication

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike, Service
from gearplan.bike.work.job import Job
from gearplan.plan.driveset import DriveSet
from gearplan.plan.job.job import begin, sign, with_part, with_reading, with_reason
from gearplan.plan.job.steps.order import steps
from gearplan.plan.words import CAUTIONS
from gearplan.sheet.fitting import drawing as fittingdrawing
from gearplan.sheet.fitting.content import FittingSheet, fitting_sheet
from gearplan.sheet.flow import elided, lines, metrics
from gearplan.sheet.painter import fitting_drawing, save_fitting_sheet
from tests.bike.strategies import bikes, jobs
from tests.plan.job.workshop import DAY, GOOD, conversion, serviced, signed


def read(sheet: FittingSheet, folder: Path) -> tuple[pypdf.PdfReader, str]:
    target = folder / "sheet.pdf"
    save_fitting_sheet(sheet, target)
    found = pypdf.PdfReader(io.BytesIO(target.read_bytes()))
    return found, re.sub(r"\s+", " ", " ".join(page.extract_text() for page in found.pages))


def filled() -> tuple[Bike, Job]:
    bike = serviced()
    return bike, replace(signed(bike, conversion(bike)), note="Calmer on the motorway.")


@pytest.mark.parametrize(("paper", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
@pytest.mark.parametrize("written", [True, False])
def test_page_size_number_and_fonts(
    qapp: QApplication, tmp_path: Path, paper: str, points: tuple[int, int], written: bool
) -> None:
    bike, job = filled()
    pdf, text = read(fitting_sheet(bike, job, filled=written, paper=paper), tmp_path)  # type: ignore[arg-type]
    assert 1 <= len(pdf.pages) <= 3
    for number, page in enumerate(pdf.pages, 1):
        assert (float(page.mediabox.width), float(page.mediabox.height)) == points
        here = page.extract_text().replace("\t", " ")
        assert f"Page {number} of {len(pdf.pages)}" in here
        assert "Brindle 650" in here
        assert "525 conversion" in here
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            inner = font.get_object()["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
            assert "/FontFile2" in inner
    sheet = fitting_sheet(bike, job, filled=written, paper=paper)  # type: ignore[arg-type]
    told = (sheet.head_line, *sheet.heeded, " ".join(sheet.reasons))
    places = [text.index(words) for words in told]
    assert places == sorted(places)


def test_every_reading_and_number_is_on_the_filled_sheet(qapp: QApplication, tmp_path: Path) -> None:
    bike, job = filled()
    job = with_part(job, "chain", quantity=1.0, price=98.5, number="K-525-112")
    sheet = fitting_sheet(bike, job)
    _, text = read(sheet, tmp_path)
    for step in steps(bike, job):
        for blank in step.blanks:
            assert GOOD[blank.key] in text, blank.key
    for label, before, after in sheet.rows:
        assert label in text
        assert before in text
        assert after in text
    for words in ("2026-05-31", "18650 km", "M. K.", "Calmer on the motorway.", "K-525-112", "98.50"):
        assert words in text
    for target in (
        "96 N·m (70.8 lbf·ft)",
        "93 N·m (68.6 lbf·ft)",
        "26 to 36 mm (1.024 to 1.417 in)",
        "manual, page 6-12",
    ):
        assert target in text
    assert text.count(": OK") >= 8
    assert "% longer than new; the limit is" in text


def test_the_blank_sheet_holds_nothing_that_is_to_be_written(qapp: QApplication, tmp_path: Path) -> None:
    bike, job = filled()
    _, text = read(fitting_sheet(bike, job, filled=False), tmp_path)
    for words in ("17.56", "5.65", "level with the peg", "18650", "M. K.", "2026-05-31", "Calmer"):
        assert words not in text
    assert "96 N·m (70.8 lbf·ft)" in text
    for caution in CAUTIONS:
        assert caution in text


def test_missing_service_data_leave_lines_and_no_number(qapp: QApplication, tmp_path: Path) -> None:
    bike = demo_bike().bike
    sheet = fitting_sheet(bike, begin(bike, DriveSet(14, 47, 112, "525"), DAY), filled=False)
    _, text = read(sheet, tmp_path)
    assert "Front sprocket's nut ____________ N·m" in text
    assert "Not in the service data yet, a blank line below:" in text
    assert not re.search(r"\d N·m", text)


def test_a_reading_out_of_range_and_a_reason_are_told(qapp: QApplication, tmp_path: Path) -> None:
    bike, job = filled()
    job = with_reason(with_reading(job, "press_width", "17.90"), "press", "second link fitted tomorrow")
    press = next(step for step in steps(bike, job) if step.key == "press")
    _, text = read(fitting_sheet(bike, sign(bike, job, press, "A. B.")), tmp_path)
    assert "Out of range: 0.41 mm wider" in text or "Out of range: 0.4 mm wider" in text
    assert "Reason: second link fitted tomorrow" in text
    assert "A. B." in text


def test_a_reading_that_is_asked_about_is_never_called_in_order(qapp: QApplication) -> None:
    bike, job = filled()
    sheet = fitting_sheet(bike, with_reading(job, "flare_1_after", "0.22"))
    rivet = next(step for step in sheet.steps if "Rivet" in step.title)
    assert rivet.told == ("Pin 1 after: check this reading, 0.22 mm. Is 0.22 in meant?",)
    assert not rivet.ticked


def test_consent_to_track_use_stands_on_the_sheet(qapp: QApplication, tmp_path: Path) -> None:
    bike, job = filled()
    _, text = read(fitting_sheet(bike, replace(job, track_only="yes", consent="yes")), tmp_path)
    assert "agreed to by the customer" in text
    _, blank = read(fitting_sheet(bike, replace(job, track_only="yes"), filled=False), tmp_path)
    assert "customer's consent" in blank


def test_only_a_pdf_is_written(tmp_path: Path) -> None:
    bike, job = filled()
    with pytest.raises(ValueError, match=r"\.pdf"):
        save_fitting_sheet(fitting_sheet(bike, job), tmp_path / "sheet.png")


_LONG = st.sampled_from(["x" * 200, "a word " * 28, "W" * 199, "Ende gut 12 mm "])


@given(bikes(), jobs(), st.booleans(), st.sampled_from(["A4", "Letter"]))
@settings(max_examples=25)
def test_any_job_is_one_to_three_pages_with_all_steps_on_them(
    qapp: QApplication, bike: Bike, job: Job, written: bool, paper: str
) -> None:
    sheet = fitting_sheet(bike, job, filled=written, paper=paper)  # type: ignore[arg-type]
    drawing = fitting_drawing(sheet)
    assert 1 <= 1 + len(drawing.further) <= 3


@given(_LONG, st.booleans())
@settings(max_examples=12)
def test_the_longest_texts_still_fit_three_pages(qapp: QApplication, tmp_path: Path, text: str, written: bool) -> None:
    bike = serviced()
    texts: dict[str, Any] = {
        key: text for key in Service.__dataclass_fields__ if key.endswith("_from") or key == "slack_how"
    }
    bike = replace(bike, name=text, service=replace(bike.service, **texts))
    job = signed(bike, conversion(bike))
    job = replace(job, note=text, technician=text, track_only="yes", readings=tuple((k, text) for k, _ in job.readings))
    job = replace(job, reasons=tuple((step.key, text) for step in steps(bike, job)))
    job = with_part(job, "chain", number=text)
    pdf, _ = read(fitting_sheet(bike, job, filled=written), tmp_path)
    assert len(pdf.pages) <= 3


def test_no_block_is_higher_than_a_page_or_leaves_one_empty(qapp: QApplication) -> None:
    bike, job = filled()
    nothing = begin(Bike(), DriveSet(None, None, None, None), DAY)
    for sheet in (fitting_sheet(bike, job), fitting_sheet(Bike(), nothing)):
        size = QRectF(0, 0, 793, 1122)
        for paint in fittingdrawing.pages(sheet, None, size):
            blocks = paint.args[2]  # type: ignore[attr-defined]
            assert blocks
            assert sum(block.height for block in blocks) <= 1122 - 72 - 66


@given(st.text(st.characters(min_codepoint=33, max_codepoint=0x24F), min_size=1, max_size=60), st.floats(20, 300))
@settings(max_examples=60)
def test_lines_never_leave_their_width(qapp: QApplication, words: str, width: float) -> None:
    for bold in (False, True):
        broken = lines(words, 11, width, bold)
        assert "".join(broken).replace("\u00a0", " ").replace(" ", "") == words.replace("\u00a0", " ").replace(" ", "")
        assert all(metrics(11, bold).horizontalAdvance(line) <= width or len(line) == 1 for line in broken)
        short = elided(words, 11, width, bold)
        assert short == words or short.endswith("…")
