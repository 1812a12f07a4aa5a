"""The session sheet asks for every field of the book, on A4 and on Letter."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pypdf
import pytest

from gearplan.bike.book import book_entries
from gearplan.bike.demo import demo_bike
from gearplan.plan.driveset import fitted
from gearplan.sheet import painter
from gearplan.sheet.session.content import LINES, session_sheet

pytestmark = pytest.mark.usefixtures("qapp")

BIKE = demo_bike().bike


def test_every_field_of_the_book_has_its_place() -> None:
    asked = {key for line in LINES for key, _ in line}
    # Day, circuit and the chain's size stand at the head.
    assert {key for key, _ in book_entries()} - asked == {"day", "circuit", "chain"}


@pytest.mark.parametrize(("paper", "size"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_it_fits_one_page_with_three_sessions(
    paper: Literal["A4", "Letter"], size: tuple[int, int], tmp_path: Path
) -> None:
    sheet = session_sheet(BIKE, fitted(BIKE), "Heronfleet", paper=paper)
    painter.save_session_sheet(sheet, tmp_path / "s.pdf")
    (page,) = pypdf.PdfReader(tmp_path / "s.pdf").pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == size
    text = " ".join(page.extract_text().split())
    assert "Circuit Heronfleet" in text
    for line in sheet.lines:
        for blank in line:
            assert text.count(blank.label) >= 3 * bool(blank.label), blank.label
    assert sheet.foot[:40] in text
    assert "15/46" in text
