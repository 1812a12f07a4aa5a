"""The Quote page with real keys: proposals kept, priced, quoted, agreed to, and their job begun with those parts."""

from __future__ import annotations

import csv
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import read_bike
from gearplan.plan.job.job import current
from gearplan.window.frame.workbench import Workbench
from gearplan.window.quote.page import QuotePage


@pytest.fixture
def page(window: Workbench, qapp: QApplication, qtbot: QtBot) -> QuotePage:
    window.remembered.keep(
        lambda now: replace(
            now,
            shop_name="Tillwater Motorcycles",
            currency="EUR",
            tax_percent="19",
            hour_price="62,50",
            hours_front="0.4",
            hours_rear="0.75",
            last_quote=16,
        )
    )
    window.show_page("Quote")
    for rear in (45, 44):
        window.document.propose(replace(window.document.chosen, front=16, rear=rear), "p")
        qtbot.mouseClick(window.quote_page.pin, Qt.MouseButton.LeftButton)
    qapp.processEvents()
    return window.quote_page


def enter(page: QuotePage, qtbot: QtBot, part: str, price: str) -> None:
    field = page.parts.rows[part].price
    field.setFocus()
    qtbot.keyClicks(field, price)


def told(page: QuotePage) -> dict[str, tuple[str, ...]]:
    model = page.table.model()
    rows = [[model.index(r, c).data() for c in range(model.columnCount())] for r in range(model.rowCount())]
    return {row[0]: tuple(row[1:]) for row in rows}


def words(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(path).pages).split())


def test_proposals_are_kept_with_the_bike_and_priced(window: Workbench, page: QuotePage, qtbot: QtBot) -> None:
    assert [row.words.text()[:12] for row in page.list.rows] == ["Set A: 16/45", "Set B: 16/44"]
    assert not page.pin.isEnabled()
    assert told(page)["Total"] == ("85.54\u00a0EUR so far", "85.54\u00a0EUR so far")
    enter(page, qtbot, "front", "21,35")
    enter(page, qtbot, "rear", "48.5")
    assert told(page)["Sum"] == ("141.73", "71.88")
    enter(page, qtbot, "lubricant", "1000000000")
    assert "can't be right" in page.parts.rows["lubricant"].price.problem
    assert told(page)["Sum"] == ("141.73", "71.88")
    assert window.document.unread("job.part.") == (("Price, lubricant", "1000000000"),)
    for _ in range(3):
        window.document.undo()
    assert told(page)["Sum"] == ("71.88", "71.88")
    window.document.redo()
    page.work.fields["new_chain"].setFocus()
    qtbot.keyClick(page.work.fields["new_chain"], Qt.Key.Key_Up)
    assert window.document.bike.proposals[0].new_chain == "yes"
    assert "change the chain" in page.notes.text()
    page.work.hours.setFocus()
    qtbot.keyClicks(page.work.hours, "2")
    assert told(page)["Labour"] == ("125.00", "71.88")
    qtbot.mouseClick(page.list.rows[1].on_quote, Qt.MouseButton.LeftButton)
    assert len(told(page)["Total"]) == 1


def test_a_discount_is_typed_and_stands_on_the_quote(
    window: Workbench, page: QuotePage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    enter(page, qtbot, "front", "21,35")
    field = page.work.discount
    field.setFocus()
    qtbot.keyClicks(field, "10 %")
    # 10 % of 93.23 is 9.323.
    assert told(page)["Discount"][0] == "\u22129.32 (10 %)"
    assert told(page)["Sum"] == ("83.91", "71.88")
    qtbot.keyClicks(field, " or so")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert "is not a number" in field.problem
    assert field.errors is not None
    assert field.errors.isVisible()  # type: ignore[attr-defined]
    assert ("Discount", "10 % or so") in window.document.unread("proposals.")
    assert told(page)["Sum"] == ("93.23", "71.88")
    field.clear()
    qtbot.keyClicks(field, "300")
    qtbot.keyClick(field, Qt.Key.Key_Return)
    assert "The discount of 300 is more than the sum" in page.notes.text()
    field.clear()
    qtbot.keyClicks(field, "3,23")
    target = tmp_path / "quote.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    page.save.setFocus()
    qtbot.keyClick(page.save, Qt.Key.Key_Return)
    for needed in ("Lines together 93.23", "Discount 3.23 \u22123.23", "Sum 90.00", "107.10 EUR"):
        assert needed in words(target)
    assert window.document.bike.proposals[0].price == 107.1
    # Each visit to the field is one step back.
    window.document.undo()
    window.document.undo()
    assert window.document.bike.proposals[0].quote is None


def test_a_quote_is_made_once_and_says_the_same_ever_after(
    window: Workbench, page: QuotePage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    enter(page, qtbot, "front", "21.35")
    enter(page, qtbot, "rear", "48.50")
    target = tmp_path / "quote.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(target), ""))
    qtbot.mouseClick(page.save, Qt.MouseButton.LeftButton)
    number = f"{date.today().year}-017"
    for needed in (f"Quote {number}", "Tillwater Motorcycles", "168.66 EUR", "Total so far", "Not in the sum"):
        assert needed in words(target)
    assert [one.quote for one in window.document.bike.proposals] == [number, number]
    assert [one.price for one in window.document.bike.proposals] == [168.66, 85.54]
    assert window.document.unsaved
    assert page.title.text().startswith(f"Quote {number} of ")
    # The shop gets dearer; the quote does not.
    window.remembered.keep(lambda now: replace(now, hour_price="99", tax_percent="7"))
    page.terms = window.papers.terms()
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(tmp_path / "again.csv"), ""))
    qtbot.mouseClick(page.to_table, Qt.MouseButton.LeftButton)
    rows = list(csv.DictReader((tmp_path / "again.csv").read_text(encoding="utf-8-sig").splitlines()))
    assert [row["amount"] for row in rows if row["line"] == "total"] == ["168.66", "85.54"]
    assert {row["quote"] for row in rows} == {number}
    assert window.remembered.now.last_quote == 17
    # A changed price makes another quote of it.
    page.parts.rows["front"].price.selectAll()
    enter(page, qtbot, "front", "20")
    assert page.title.text().startswith("New quote")
    window.show_page("Customer")
    assert window.customer_page.content._rows[1].price == "85.54\u00a0EUR"


def test_one_click_from_the_quote_to_the_job_with_its_parts(
    window: Workbench, page: QuotePage, qtbot: QtBot, tmp_path: Path
) -> None:
    enter(page, qtbot, "front", "21.35")
    page.parts.rows["front"].number.setFocus()
    qtbot.keyClicks(page.parts.rows["front"].number, "F-16")
    qtbot.mouseClick(page.list.rows[0].job, Qt.MouseButton.LeftButton)
    assert window.in_sight == "Fitting"
    job = current(window.document.bike)
    assert job is not None
    assert (job.front, job.rear) == (16, 45)
    assert [(one.part, one.quantity, one.number, one.price) for one in job.parts] == [("front", 1, "F-16", 21.35)]
    assert [one.state for one in window.document.bike.proposals] == ["agreed", "offered"]
    assert window.document.chosen.rear == 45
    window.show_page("Quote")
    qtbot.mouseClick(page.list.rows[1].job, Qt.MouseButton.LeftButton)
    assert "A job is open" in window.message.text.text()
    page.list.rows[1].state.setFocus()
    for _ in range(3):
        qtbot.keyClick(page.list.rows[1].state, Qt.Key.Key_Down)
    assert window.document.bike.proposals[1].state == "declined"
    assert not page.list.rows[1].job.isEnabled()
    assert len(told(page)["Total"]) == 1
    assert window.files.write(tmp_path / "a.bike.toml")
    assert read_bike(tmp_path / "a.bike.toml").bike == window.document.bike
    qtbot.mouseClick(page.list.rows[1].away, Qt.MouseButton.LeftButton)
    assert len(page.list.rows) == 1


def test_a_logo_that_went_is_said_and_no_quote_is_made(
    window: Workbench, page: QuotePage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.remembered.keep(lambda now: replace(now, shop_logo=str(tmp_path / "gone.png")))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_a: (str(tmp_path / "q.pdf"), ""))
    qtbot.mouseClick(page.save, Qt.MouseButton.LeftButton)
    assert "gone.png" in window.message.text.text()
    assert [one.quote for one in window.document.bike.proposals] == [None, None]
    assert list(tmp_path.iterdir()) == []


def test_a_bike_without_proposals_has_nothing_to_save(window: Workbench, qapp: QApplication) -> None:
    window.show_page("Quote")
    qapp.processEvents()
    page = window.quote_page
    assert page.none.isVisible()
    assert not any(button.isEnabled() for button in (page.save, page.print_it, page.to_table))
    assert not page.parts.isVisible()
