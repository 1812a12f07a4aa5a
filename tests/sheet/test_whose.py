"""Whose motorcycle it is stands on paper alone, and there where it is wanted; a label keeps its size on large paper."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QMarginsF
from PySide6.QtGui import QPageSize, QPdfWriter

from gearplan import cli
from gearplan.bike.profile import Owner
from gearplan.plan.customer.page import Asked
from gearplan.plan.job.job import begin
from gearplan.plan.quote.proposals import set_of
from gearplan.plan.quote.quote import quote
from gearplan.sheet import painter
from gearplan.sheet.customer.content import customer_sheet
from gearplan.sheet.fitting.content import label_sheet
from gearplan.sheet.quote.content import quote_sheet
from tests.plan.quote.test_quote import DAY, SHOP, bike_of

BIKE = replace(bike_of(45), owner=Owner("Ada Thornbury", "0161 496 0000", "XQ 4711", "FR4ME0001"))
SET = set_of(BIKE.proposals[0])
LABEL = label_sheet(BIKE, begin(BIKE, SET, date(2026, 5, 4)), with_owner=True)
pytestmark = pytest.mark.usefixtures("qapp")


def words(path: Path) -> str:
    return " ".join(pypdf.PdfReader(path).pages[0].extract_text().split())


def customer_page(target: Path, on: bool) -> None:
    painter.save_customer_page(customer_sheet(BIKE, SET, Asked(), DAY, with_owner=on), target)


def quote_page(target: Path, on: bool) -> None:
    painter.save_quote(quote_sheet(BIKE, quote(BIKE, [0], SHOP, DAY), with_owner=on), target)


def label(target: Path, on: bool) -> None:
    painter.save_label(LABEL if on else replace(LABEL, whose=""), target)


@pytest.mark.parametrize("save", [customer_page, quote_page, label])
def test_no_picture_says_whose_motorcycle_it_is(tmp_path: Path, save: Callable[[Path, bool], None]) -> None:
    paper = tmp_path / "page.pdf"
    save(paper, True)
    assert "Ada Thornbury, registration XQ 4711, frame number FR4ME0001" in words(paper)
    assert "0161" not in words(paper)
    save(paper, False)
    assert "Thornbury" not in words(paper)
    for ending in ("png", "svg", "PNG"):
        named, nobodys = tmp_path / f"named.{ending}", tmp_path / f"nobodys.{ending}"
        save(named, True)
        save(nobodys, False)
        assert named.read_bytes() == nobodys.read_bytes()


def test_the_command_says_that_a_picture_will_not(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "page.png"
    assert cli.run(["customer", "--owner", "-o", str(target)]) == 2
    assert "a picture does not say whose motorcycle it is" in capsys.readouterr().err
    assert not target.exists()
    assert cli.run(["customer", "--owner", "-o", str(tmp_path / "page.pdf")]) == 0


def spread(path: Path) -> float:
    """From the first line of a page to the last, in points."""
    places: list[float] = []

    def see(told: str, across: list[float], at: list[float], *_font: object) -> None:
        if told.strip():
            places.append(at[5] * across[3] + across[5])

    pypdf.PdfReader(path).pages[0].extract_text(visitor_text=see)
    return max(places) - min(places)


def test_a_label_keeps_its_size_on_larger_paper_and_shrinks_on_smaller(tmp_path: Path) -> None:
    painter.save_label(LABEL, tmp_path / "own.pdf")
    own = spread(tmp_path / "own.pdf")
    assert own > 50
    # A8 is 52 mm wide, the label 100 mm.
    for size, share in ((QPageSize.PageSizeId.A4, 1.0), (QPageSize.PageSizeId.A8, 0.52)):
        paper = QPdfWriter(str(tmp_path / "l.pdf"))
        paper.setPageSize(QPageSize(size))
        paper.setPageMargins(QMarginsF())
        painter.label_drawing(LABEL).draw_pages(paper)
        del paper
        assert spread(tmp_path / "l.pdf") == pytest.approx(share * own, rel=0.02)
        assert "Ada Thornbury" in words(tmp_path / "l.pdf")
