"""A shop's day by keys: five customers entered and offered, and nothing that was agreed is typed again next week."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLineEdit, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import read_bike
from gearplan.bike.text.numbertext import parse_number
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.job import current
from gearplan.plan.job.steps.order import steps
from gearplan.plan.quote.proposals import set_of
from gearplan.window.frame import settings
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit.controls.fields import ChoiceField
from tests.plan.job.workshop import GOOD

KEY, CTRL, ALT = Qt.Key, Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
PAGES = {"Speed": KEY.Key_2, "Bike": KEY.Key_1, "Customer": KEY.Key_7, "Quote": KEY.Key_T, "All bikes": KEY.Key_0}


@dataclass(frozen=True)
class Comes:
    """A customer: what is entered of the motorcycle, and what is offered for how much."""

    name: str
    plate: str
    bike: str
    rear: str
    cruise: str
    price: str


DAY = (
    Comes("Ada Thornbury", "XQ 4711", "Brindle 650", "46", "110", "21,35"),
    Comes("Bo Larkspur", "AB 12", "Wren 700", "44", "120", "19.90"),
    Comes("Cyril Marsh", "AB 7", "Kestle 900", "45", "130", "27.50"),
    Comes("Dora Fennimore", "ZL 305", "Sorrel 750", "43", "125", "24,80"),
    Comes("Emil Hawtree", "QW 88", "Tansy 600", "47", "115", "22"),
)


class Hands:
    """Real keys into whatever has the focus."""

    def __init__(self, window: Workbench, qtbot: QtBot) -> None:
        self.window, self._qtbot = window, qtbot

    def press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        self._qtbot.keyClick(self.window.focusWidget() or self.window, key, modifier)

    def go(self, page: str) -> None:
        self.press(PAGES[page], CTRL)
        assert self.window.in_sight == page
        QApplication.processEvents()

    def type_in(self, field: QWidget, text: str) -> None:
        assert field.isVisible()
        field.setFocus()
        if isinstance(field, QLineEdit):
            field.selectAll()
        self._qtbot.keyClicks(field, text)

    def push(self, button: QWidget) -> None:
        assert button.isVisible()
        assert button.isEnabled()
        button.setFocus()
        self._qtbot.keyClick(button, KEY.Key_Space)

    def choose(self, field: QComboBox, word: str) -> None:
        field.setFocus()
        for _ in range(field.findText(word) - field.currentIndex()):
            self._qtbot.keyClick(field, KEY.Key_Down)
        assert field.currentText() == word

    def basics(self, typed: dict[str, str]) -> None:
        """Answer what is asked first of a new bike, from field to field by Enter."""
        self.press(KEY.Key_N, CTRL)
        page = self.window.new_bike_page
        for _ in typed:
            at = self.window.focusWidget()
            assert at is not None
            word = typed[str(at.property("measured"))]
            if isinstance(at, QComboBox):
                self.choose(at, word)
            else:
                self._qtbot.keyClicks(at, word)
            self._qtbot.keyClick(at, KEY.Key_Return)
        assert not page.isVisible()

    def fit(self) -> None:
        """Write down and sign every step of the job up to the ride, then finish it."""
        page = self.window.fitting_page
        self.type_in(page.head.initials, "M. K.")
        self.type_in(page.head.odometer, "18650")
        page.list.setFocus()
        for step in steps(self.window.document.bike, page.job):
            if step.later:
                break
            assert page.step.key == step.key
            for blank in step.blanks:
                field = page.card.fields[blank.key].field
                if isinstance(field, ChoiceField):
                    self.choose(field, GOOD[blank.key])
                else:
                    self.type_in(field, GOOD[blank.key])
            self.press(KEY.Key_F2)
            assert page.step.key != step.key, page.card.hindrance.text()
        self.push(page.head.finish)
        assert page.head.state.text().startswith("fitted"), page.head.errors.text()


@pytest.fixture
def bikes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The shop's folder; every box that would ask something fails the test."""
    folder = tmp_path / "bikes"
    folder.mkdir()

    def refuse(*asked: object) -> None:
        raise AssertionError(asked)

    monkeypatch.setattr(QMessageBox, "question", refuse)
    monkeypatch.setattr("gearplan.window.fitting.page.agreed", refuse)
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))
    # As the dialog suggests it.
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *a: (str(folder / Path(a[2]).name), ""))
    return folder


@pytest.fixture
def next_week(window: Workbench, qapp: QApplication) -> Iterator[Workbench]:
    """The program started again, with nothing but what is on the disk."""
    made = Workbench(settings.load())
    made.make_pages()
    yield made
    assert made.close()
    made.deleteLater()


def serve(hands: Hands, comes: Comes) -> None:
    """Enter a motorcycle and its owner, offer one tooth more at the front, price it, quote it and save."""
    window = hands.window
    hands.basics(
        {
            "kind": "naked",
            "tyre.size": "180/55 ZR 17",
            "final_drive.front": "15",
            "final_drive.rear": comes.rear,
            "final_drive.links": "112",
            "final_drive.chain": "520",
            "engine.redline_rpm": "10500",
            "gearbox.count": "6",
        }
    )
    hands.go("Bike")
    hands.type_in(window.bike_page.name, comes.bike)
    for key, text in (("name", comes.name), ("registration", comes.plate)):
        hands.type_in(window.bike_page.rows["owner", key].field, text)  # type: ignore[attr-defined]
    hands.go("Customer")
    hands.type_in(window.customer_page.cruise, comes.cruise)
    hands.press(KEY.Key_Right, ALT)
    assert window.document.chosen.front == 16
    hands.push(window.customer_page.pin)
    hands.go("Quote")
    hands.type_in(window.quote_page.parts.rows["front"].price, comes.price)
    hands.push(window.quote_page.save)
    hands.press(KEY.Key_S, CTRL)
    assert not window.document.unsaved


def file_of(bikes: Path, comes: Comes) -> Path:
    return bikes / f"{comes.bike}.bike.toml"


def test_five_customers_in_a_row_and_one_again_next_week(
    window: Workbench, qtbot: QtBot, bikes: Path, request: pytest.FixtureRequest
) -> None:
    ada, bo, cyril, dora, emil = DAY
    hands = Hands(window, qtbot)
    window.remembered.keep(lambda now: replace(now, owner_on_paper=True, currency="EUR"))
    for comes in DAY:
        serve(hands, comes)
        row = window.quote_page.list.rows[0]
        if comes is bo:
            hands.choose(row.state, "declined")
        elif comes is dora:
            hands.choose(row.state, "agreed")
        elif comes is cyril:
            hands.push(row.job)
            assert window.in_sight == "Fitting"
            hands.fit()
            hands.push(window.fitting_page.head.save_sheet)
        hands.press(KEY.Key_S, CTRL)
        assert not window.document.unsaved
        assert window.message.text.text().startswith(("Saved", "Written")), window.message.text.text()
    kept = {comes: read_bike(file_of(bikes, comes)).bike for comes in DAY}
    states = {comes.name: bike.proposals[0].state for comes, bike in kept.items()}
    assert states == {
        ada.name: "offered", bo.name: "declined", cyril.name: "fitted", dora.name: "agreed", emil.name: "offered",
    }  # fmt: skip
    assert len({bike.proposals[0].quote for bike in kept.values()}) == len(DAY)
    for comes, bike in kept.items():
        assert (bike.owner.name, bike.owner.registration) == (comes.name, comes.plate)
        assert fitted(bike) == DriveSet(16 if comes is cyril else 15, int(comes.rear), 112, "520")
    # The job of what was agreed has the part and its price from the quote, and the sheet whose motorcycle it is.
    (done,) = kept[cyril].jobs
    assert (done.state, done.front, done.rear) == ("fitted", 16, 45)
    assert [(one.part, one.price) for one in done.parts] == [("front", 27.5)]
    sheet = pypdf.PdfReader(bikes / f"{cyril.bike} fitting sheet.pdf")
    handed_over = " ".join(" ".join(page.extract_text() for page in sheet.pages).split())
    for needed in (cyril.name, cyril.plate, "M. K."):
        assert needed in handed_over
    window.close()

    later = request.getfixturevalue("next_week")
    later.show()
    later.activateWindow()
    qtbot.waitUntil(later.isActiveWindow)
    hands = Hands(later, qtbot)
    hands.go("All bikes")
    shelf = later.all_bikes_page
    if shelf.choose.isVisible():
        hands.push(shelf.choose)
    qtbot.waitUntil(lambda: shelf.table.model().rowCount() == len(DAY))
    hands.type_in(shelf.words, "zl 305")
    assert shelf.table.model().rowCount() == 1
    hands.press(KEY.Key_Return)
    assert later.document.path == file_of(bikes, dora)
    offered = set_of(kept[dora].proposals[0])
    assert later.document.chosen == offered
    hands.go("Customer")
    assert f"At {dora.cruise} km/h" in later.customer_page.content.accessibleName()
    hands.go("Quote")
    assert kept[dora].proposals[0].quote is not None
    assert kept[dora].proposals[0].quote in later.quote_page.title.text()
    hands.push(later.quote_page.list.rows[0].job)
    job = current(later.document.bike)
    assert job is not None
    assert (job.front, job.rear) == (offered.front, offered.rear)
    assert [(one.part, one.price) for one in job.parts] == [("front", parse_number(dora.price))]
    hands.press(KEY.Key_S, CTRL)
    assert read_bike(file_of(bikes, dora)).bike.jobs == (job,)
