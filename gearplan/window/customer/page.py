"""The Customer page: in plain words and large what the proposed set changes, for the customer to read."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from gearplan.bike.work.proposal import changed
from gearplan.language import tr
from gearplan.plan.choices.wishes import TOP_GEAR, gear_words
from gearplan.plan.customer.page import Asked, Customer, customer, usual_cruise
from gearplan.plan.driveset import DriveSet
from gearplan.plan.quote.proposals import MOST_PINNED, without
from gearplan.plan.words import Speed, teeth
from gearplan.setup.ratios import gearbox
from gearplan.sheet.customer.rows import Row, compared
from gearplan.window.customer.pins import Pins
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField, ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.customerview import CustomerView
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import Scrolled, card, fill, fixed_width, primary
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View

_STEP = 5.0
_SLOWEST, _FASTEST = 5.0, 400.0
_MOST_GEARS = 8


class CustomerPage(QWidget):
    """Sentences and pictures with the customer's own cruising speed. `full_screen_asked` turns the page round,
    `page_asked` asks for the page to take home as a file, `print_asked` on a printer, `copy_asked` on the clipboard,
    `pin_asked` to keep the proposed set with the bike."""

    full_screen_asked = Signal()
    page_asked = Signal()
    print_asked = Signal()
    copy_asked = Signal()
    pin_asked = Signal()
    field_wanted = Signal(str)

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("touch", True)
        self._document, self._view = document, view
        self._pull_gear = TOP_GEAR
        self._pull_at: float | None = None
        ground = QWidget()
        column = QVBoxLayout(ground)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT)
        frame, inside = card()
        self.content = CustomerView()
        inside.addWidget(self.content, 1)
        column.addWidget(frame, 1)
        self.pins = Pins()
        self.pins.proposed.connect(self._propose)
        self.pins.renamed.connect(self._renamed)
        self.pins.removed.connect(self._unpinned)
        self.pins.finished.connect(document.end_merge)
        column.addWidget(self.pins)
        column.addLayout(self._controls())
        self.errors = ErrorLabel()
        self.cruise.errors = self.pull_at.errors = self.errors
        column.addWidget(self.errors)
        fill(self, Scrolled(ground, across=True))
        self._dress()

    def _controls(self) -> Flow:
        row = Flow()
        self.slower, self.faster = QPushButton("−"), QPushButton("+")
        self.cruise = NumberField(_speed_refusal, unit=self._view.speed_unit, step=1, patient=True)
        self.cruise.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.cruise.entered.connect(self._cruise_typed)
        self.unit = PlainLabel()
        for button, name, slot in (
            (self.slower, tr("Cruise slower"), self._slow_down),
            (self.faster, tr("Cruise faster"), self._speed_up),
        ):
            button.setAccessibleName(name)
            button.setAutoRepeat(True)
            button.clicked.connect(slot)
        self.cruise_name = labelled(tr("Cr&uising at"), self.cruise)
        row.addWidget(together(self.cruise_name, self.slower, self.cruise, self.faster, self.unit))
        self.pull_at = NumberField(_speed_refusal, unit=self._view.speed_unit, step=5)
        fixed_width(self.pull_at, 56)
        self.pull_at.setPlaceholderText(tr("same"))
        self.pull_at.entered.connect(self._pull_typed)
        self.gear = ChoiceField(tuple(gear_words(gear) for gear in range(TOP_GEAR, _MOST_GEARS + 1)))
        self.gear.removeItem(0)
        self.gear.setAccessibleName(tr("Gear in which the pull matters"))
        self.gear.entered.connect(self._gear_entered)
        asked = together(labelled(tr("Pull &at"), self.pull_at), self.pull_at, PlainLabel(tr("in")), self.gear)
        self.pin = QPushButton(tr("Pin this set"))
        self.pin.clicked.connect(self.pin_asked)
        self.take_home = primary(QPushButton(tr("Page to take home…")))
        self.print_it, self.copy = QPushButton(tr("Print…")), QPushButton(tr("Copy as picture"))
        for button, signal, name in (
            (self.take_home, self.page_asked, tr("Page to take home, as a file")),
            (self.print_it, self.print_asked, tr("Print the page to take home")),
            (self.copy, self.copy_asked, tr("Copy the page to take home as a picture")),
        ):
            button.setAccessibleName(name)
            button.clicked.connect(signal)
        #: What the customer does not need while the page is turned round.
        self.work = (asked, self.pin, together(self.take_home, self.print_it, self.copy))
        for widget in self.work:
            row.addWidget(widget)
        row.push()
        self.full_screen = QPushButton(tr("Full screen (F11)"))
        self.full_screen.clicked.connect(self.full_screen_asked)
        row.addWidget(self.full_screen)
        return row

    @property
    def asked(self) -> Asked:
        """What the customer has named, in the unit that is shown."""
        unit, factor = self._view.speed_unit, self._view.speed_factor
        if self._view.cruise is None:
            cruise = usual_cruise(self._document.bike, unit)
        else:
            cruise = Speed(round(self._view.cruise / factor, 1), unit)
        pull_at = cruise if self._pull_at is None else Speed(round(self._pull_at / factor, 1), unit)
        return Asked(cruise, pull_at, self._pull_gear)

    def told(self) -> tuple[Customer, tuple[Row, ...]]:
        """What the customer is told now, and the sets that are compared, as `CustomerView` takes them."""
        bike, stock = self._document.bike, self._view.stock
        content = customer(bike, self._document.chosen, self.asked, stock)
        return content, compared(bike, self.asked, stock, content)

    def refresh(self) -> None:
        """Show document and view as they are now."""
        bike, chosen, asked = self._document.bike, self._document.chosen, self.asked
        gears = len(gearbox(bike).gears)
        if self._pull_gear > gears:
            self._pull_gear, asked = TOP_GEAR, Asked(asked.cruise, asked.pull_at, TOP_GEAR)
        self.pins.refresh(bike, chosen)
        self.content.show_content(*self.told())
        for field in (self.cruise, self.pull_at):
            field.set_unit(self._view.speed_unit)
        if not self.cruise.problem:
            _show(self.cruise, asked.cruise.value)
        self.unit.setText(self._view.speed_unit)
        _show(self.pull_at, None if self._pull_at is None else asked.pull_at.value)
        self.gear.show_choice(gear_words(self._pull_gear))
        self.pin.setEnabled(not self.pins.holds(chosen) and len(self.pins.cards) < MOST_PINNED)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.content.update()
        self._dress()

    def forget(self) -> None:
        """Another bike: its pull is asked for anew."""
        self._pull_at, self._pull_gear = None, TOP_GEAR

    def show_full_screen(self, on: bool) -> None:
        """Only what the customer needs, with controls that a finger hits."""
        for widget in self.work:
            widget.setVisible(not on)
        self.full_screen.setText(tr("Back (F11 or Esc)") if on else tr("Full screen (F11)"))
        self.pins.show_large(on)
        self._dress(large=on)

    def _dress(self, *, large: bool = False) -> None:
        size = theme.px(theme.LARGE if large else theme.TITLE)
        for widget in (self.slower, self.faster, self.cruise, self.unit, self.cruise_name):
            widget.setStyleSheet(f"font-size: {size}px;")
        self.full_screen.setStyleSheet(f"font-size: {size}px;" if large else "")
        side = theme.px((8 if large else 5) * theme.UNIT)
        for button in (self.slower, self.faster):
            button.setFixedSize(QSize(side + 2 * theme.UNIT, side))
        self.cruise.setFixedSize(QSize(4 * size, side))

    def _step(self, by: float) -> None:
        now = self.asked.cruise
        self.cruise.forget()
        # To the next multiple of the step, whatever was typed before.
        wanted = (now.value // _STEP + 1) * _STEP if by > 0 else -((-now.value) // _STEP + 1) * _STEP
        self._view.set_cruise(Speed(min(max(wanted, _SLOWEST), _FASTEST), now.unit).si)

    def _slow_down(self) -> None:
        self._step(-1)

    def _speed_up(self) -> None:
        self._step(1)

    def _cruise_typed(self, value: object) -> None:
        self._view.set_cruise(float(value) * self._view.speed_factor if isinstance(value, (int, float)) else None)

    def _pull_typed(self, value: object) -> None:
        self._pull_at = float(value) * self._view.speed_factor if isinstance(value, (int, float)) else None
        self.refresh()

    def _gear_entered(self, word: object) -> None:
        gears = {gear_words(gear): gear for gear in range(TOP_GEAR, _MOST_GEARS + 1)}
        self._pull_gear = gears[str(word)]
        self.refresh()

    def _renamed(self, place: int, name: str) -> None:
        bike = self._document.bike
        named = changed(bike.proposals, place, name=name.strip() or None)
        self._document.edit(tr("Name of a set"), replace(bike, proposals=named), f"proposals.{place}.name")

    def _unpinned(self, place: int) -> None:
        self._document.edit(tr("Unpin a set"), without(self._document.bike, place))

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, tr("Propose {teeth}", teeth=teeth(chosen)))


def _show(field: NumberField, speed: float | None) -> None:
    """Show a speed, unless the field says the same already in other digits or another unit."""
    own = field.value
    if not (isinstance(own, (int, float)) and round(own, 1) == speed):
        field.show_number(speed)


def _speed_refusal(value: float) -> str | None:
    return (
        None
        if _SLOWEST <= value <= _FASTEST
        else tr("expected a speed of {slowest:.0f} to {fastest:.0f}", slowest=_SLOWEST, fastest=_FASTEST)
    )
