"""The Choices page: from wishes to a short list of sets, with what dropped out and why."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPalette, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QApplication,
    QComboBox,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike import checks
from gearplan.language import tr
from gearplan.plan.choices.search import Choice, Choices, search, why_not
from gearplan.plan.choices.space import Space, with_sizes
from gearplan.plan.choices.wishes import KINDS, Wish
from gearplan.plan.choices.wishtext import parse_wish, parse_wishes, wishes_in
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set import words as setwords
from gearplan.plan.set.evaluate import fitted_and
from gearplan.plan.words import Speed, teeth
from gearplan.window.choices.alike import AlikeTab
from gearplan.window.choices.laptimes import LapTimes
from gearplan.window.choices.overview import ChoicePicture
from gearplan.window.choices.shortlist import ChoiceList
from gearplan.window.choices.wishrows import WishRows
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.customerbutton import CustomerButton
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.emptystate import EmptyState
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import card, fixed_width, most_width, scrolled
from gearplan.window.kit.places.tabs import Leaf, Spread
from gearplan.window.kit.places.twosides import two_sides
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View
from gearplan.window.search.ranges import SearchRanges

if TYPE_CHECKING:
    from gearplan.window.kit.charts.runpicture import RunPicture

_OFTEN = ("calmer", "livelier", "keep the chain", "fewest new parts", "speedometer within the rule")
_LIST, _ALIKE = tr("Sets that meet the wishes"), tr("Geared as proposed")
#: From this height on, at the usual size of text, the short list stands below the wishes as a picture too.
_WITH_PICTURE = 800
#: From this size on the chain run of the proposed set stands beside them.
_WITH_RUN = QSize(2000, 1100)
#: Wishes and ranges are no wider than this at the usual size of text.
_FORM = 560


class ChoicesPage(QWidget):
    """Wishes on the left, the short list on the right. `customer_wanted` asks for the customer's page."""

    field_wanted = Signal(str)
    customer_wanted = Signal()

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._answer: Choices | None = None
        self._asked: object = None
        self._cruise: Speed | None = None
        self._shown: tuple[Choice, ...] = ()
        self.lap_times = LapTimes(self)
        self.lap_times.ready.connect(self.refresh)
        two_sides(self, self._left(), self._right())

    @cached_property
    def run(self) -> RunPicture:
        """The chain run of the proposed set, made when there first is room for it."""
        from gearplan.window.kit.charts.runpicture import RunPicture

        run = RunPicture(tr("The proposed chain run, to scale"))
        self._beside.addWidget(run, 1)
        return run

    def showEvent(self, event: QShowEvent) -> None:
        """Typing can begin at once; who walks along the rail of pages with the keyboard keeps the rail."""
        super().showEvent(event)
        if not isinstance(QApplication.focusWidget(), QListWidget):
            self.line.setFocus(Qt.FocusReason.OtherFocusReason)

    def _left(self) -> QWidget:
        frame, column = card(spacing=theme.UNIT)
        self.line = QLineEdit()
        self.line.setPlaceholderText(tr("120 on the motorway, calmer, same chain"))
        self.line.returnPressed.connect(self._said)
        asked = labelled(tr("&What does the customer want? Say it in words and press Enter"), self.line)
        asked.setWordWrap(True)
        column.addWidget(asked)
        column.addWidget(self.line)
        self.errors = ErrorLabel()
        column.addWidget(self.errors)
        often = Flow(spacing=theme.UNIT // 2)
        self.often: dict[str, QPushButton] = {}
        for words in _OFTEN:
            often.addWidget(self._often_button(words))
        column.addLayout(often)
        adding = Flow()
        self.kinds = QComboBox()
        self.kinds.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        for kind in KINDS.values():
            self.kinds.addItem(kind.title, kind.key)
        self.add = QPushButton(tr("Add"))
        self.add.clicked.connect(self._added)
        adding.addWidget(together(labelled(tr("&Or choose"), self.kinds), self.kinds))
        adding.addWidget(self.add)
        column.addLayout(adding)
        self.rows = WishRows()
        self.rows.changed.connect(self._wishes_changed)
        self.ranges = SearchRanges(self._view)
        self.ranges.changed.connect(self.refresh)
        inside = QWidget()
        stack = QVBoxLayout(inside)
        stack.setContentsMargins(0, 0, theme.UNIT, 0)
        stack.setSpacing(theme.UNIT)
        stack.addWidget(_title(tr("Wishes")))
        self.none = PlainLabel(
            tr("None yet. Each one said or chosen stands here with its numbers, which can be changed.")
        )
        self.none.setProperty("role", "small")
        self.none.setWordWrap(True)
        stack.addWidget(self.none)
        stack.addWidget(self.rows)
        stack.addSpacing(theme.UNIT)
        stack.addWidget(_title(tr("Where to search")))
        stack.addWidget(self.ranges)
        stack.addStretch(1)
        for widget in (self.line, self.ranges, self.rows):
            most_width(widget, _FORM)
        self._beside = QHBoxLayout()
        self._beside.setSpacing(2 * theme.UNIT)
        self._beside.addWidget(scrolled(inside), 1)
        column.addLayout(self._beside, 5)
        self.picture = ChoicePicture()
        self.picture.proposed.connect(self._propose)
        self.picture.hide()
        column.addWidget(self.picture, 5)
        return frame

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The picture needs a height of its own below the wishes."""
        super().resizeEvent(event)
        self._pictured()

    def _pictured(self) -> None:
        self.picture.setVisible(bool(self._shown) and self.height() >= theme.px(_WITH_PICTURE))
        roomy = self.width() >= theme.px(_WITH_RUN.width()) and self.height() >= theme.px(_WITH_RUN.height())
        if "run" in self.__dict__:
            self.run.setVisible(roomy)
        if roomy:
            bike, chosen = self._document.bike, self._document.chosen
            on, proposed = fitted_and(bike, chosen)
            before = None if on.set == proposed.set else on
            self.run.show_sets(bike, before, proposed, setwords.no_drawing(proposed)[0])

    def _often_button(self, words: str) -> QPushButton:
        button = QPushButton(tr(words)[:1].upper() + tr(words)[1:])
        button.setCheckable(True)
        button.setObjectName(words)
        button.clicked.connect(self._often_pressed)
        self.often[words] = button
        return button

    def _right(self) -> QWidget:
        self.alike = AlikeTab()
        self.alike.proposed.connect(self._propose)
        self.spread = Spread([Leaf(_LIST, self._list_tab(), 440), Leaf(_ALIKE, scrolled(self.alike), 400)])
        self.tabs = self.spread.tabs
        self.spread.changed.connect(self.refresh)
        return self.spread

    def _list_tab(self) -> QWidget:
        page, column = _plain()
        self.summary = PlainLabel()
        self.summary.setWordWrap(True)
        column.addWidget(self.summary)
        self.empty = EmptyState()
        self.empty.wanted.connect(self.field_wanted)
        column.addWidget(self.empty, 1)
        self.list = ChoiceList()
        self.list.proposed.connect(self._propose)
        column.addWidget(self.list, 3)
        self.dropped = PlainLabel()
        self.dropped.setWordWrap(True)
        self.dropped.setProperty("role", "small")
        self.dropped.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        column.addWidget(self.dropped)
        why = Flow()
        self.why_front, self.why_rear = (
            NumberField(_teeth_refusal, unit="teeth", whole=True, step=1) for _ in range(2)
        )
        self.why = PlainLabel()
        self.why.setWordWrap(True)
        for field, name in ((self.why_front, "front"), (self.why_rear, "rear")):
            fixed_width(field, 48)
            field.errors = self.errors
            field.setAccessibleName(tr("Why not, {name} teeth", name=name))
            field.entered.connect(self._why_typed)
        why.addWidget(
            together(labelled(tr("Why &not"), self.why_front), self.why_front, PlainLabel("/"), self.why_rear)
        )
        why.push()
        self.to_customer = CustomerButton()
        self.to_customer.clicked.connect(self.customer_wanted)
        why.addWidget(self.to_customer)
        column.addLayout(why)
        column.addWidget(self.why)
        return scrolled(page)

    # Showing what has changed.

    def refresh(self) -> None:
        """Show document, wishes and ranges as they are now."""
        if tuple(wish.words for wish in self.rows.wishes) != self._view.wishes:
            self.rows.show_wishes(parse_wishes(self._view.wishes)[0])
        self.none.setVisible(not self.rows.rows)
        for words, button in self.often.items():
            button.setChecked(parse_wish(words) in self.rows.wishes)
        bike, chosen = self._document.bike, self._document.chosen
        space = self._space()
        if isinstance(space, str):
            self.summary.setText(space)
            self.list.show_choices((), chosen)
            self.dropped.setText("")
            return
        shown = self.spread.in_sight()
        if _ALIKE in shown:
            self.alike.show_set(bike, chosen, space, self._view.stock)
        if _LIST not in shown:
            return
        wishes, stock = self.rows.wishes, self._view.stock
        circuit = self._document.circuit
        asked = (bike, wishes, space, stock, circuit, self._cruise)
        if asked != self._asked or self._answer is None:
            timed = circuit is not None and any(wish.kind == "quickest" for wish in wishes)
            laps = self.lap_times.of(bike, circuit if timed else None, space)
            if self.lap_times.busy:
                self._asked = None
                self.summary.setText(tr("Lap times are being computed …"))
                return
            self._asked = asked
            self._answer = search(bike, wishes, space, stock=stock, lap_times=laps, cruise=self._cruise)
            self._show_answer(self._answer)
        self.list.show_choices(self._shown, chosen)
        self.picture.show_choices(self._shown, chosen)
        self._pictured()

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self.lap_times.finish()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        self.list.viewport().update()
        self.picture.update()
        if "run" in self.__dict__:
            self.run.recolour()

    def forget(self) -> None:
        """Another bike: search about its own set."""
        self.ranges.forget()
        self._cruise = None

    def _show_answer(self, answer: Choices) -> None:
        told = []
        lacking = next((f for f in answer.unjudged if f.field), None)
        nothing = self._document.bike.final_drive.front is None and lacking is not None
        if not answer.wishes:
            told.append(tr("Nothing asked for yet: the fitted set, and what differs little from it."))
        if answer.ranked:
            told += filter(None, [answer.count])
        else:
            told.append(f"{answer.count} {answer.costly}")
            told += [tr("Nearest is {teeth}:", teeth=teeth(answer.nearest.set))] if answer.nearest else []
            told += answer.misses
        told += answer.notes
        self.summary.setText("\n".join(told))
        shown = answer.ranked or ((answer.nearest,) if answer.nearest else ())
        self._shown = shown
        self.list.setVisible(bool(shown))
        words = lacking.text if nothing and lacking is not None and not shown else ""
        self.empty.say(words, lacking.field if lacking is not None and words else "")
        self.dropped.setText("\n".join(tr("Dropped: {text}", text=dropped.text) for dropped in answer.dropped))
        self.dropped.setVisible(bool(answer.dropped))
        not_judged = {left.wish: left.text for left in answer.unjudged}
        for row in self.rows.rows:
            text = not_judged.get(row.wish, "")
            row.say(tr("Cannot be checked: {text}", text=text) if text else "")
        self._tell_why()

    def _wishes_changed(self) -> None:
        self._view.wishes = tuple(wish.words for wish in self.rows.wishes)
        self.refresh()

    def _space(self) -> Space | str:
        """What is searched: the ranges, with the chain sizes that are asked for."""
        space = self.ranges.space(self._document.bike)
        return space if isinstance(space, str) else with_sizes(space, self.rows.wishes)

    def _said(self) -> None:
        text = self.line.text()
        wishes, cruise, wrong = wishes_in(text, self._view.speed_unit)
        if cruise is not None:
            self._cruise = cruise
            self._view.set_cruise(cruise.si)
        self.rows.add(wishes)
        # What was understood has its row; what was not stays to be said better.
        self.errors.say(" ".join(wrong), self.line)
        if not wrong:
            self.line.clear()

    def _added(self) -> None:
        wish = parse_wish(KINDS[self.kinds.currentData()].example)
        if wish.speed is not None and self._view.speed_unit == "mph":
            wish = _in_mph(wish)
        self.rows.add((wish,))
        self.rows.focus_last()

    def _often_pressed(self) -> None:
        wish = parse_wish(self.sender().objectName())
        if wish in self.rows.wishes:
            self.rows.remove(wish)
        else:
            self.rows.add((wish,))

    def _why_typed(self, _value: object) -> None:
        self._tell_why()

    def _tell_why(self) -> None:
        front, rear = self.why_front.value, self.why_rear.value
        if not (isinstance(front, int) and isinstance(rear, int)):
            self.why.setText("")
            return
        space = self._space()
        if isinstance(space, str):
            return
        reasons = why_not(self._document.bike, self.rows.wishes, space, front, rear, stock=self._view.stock)
        self.why.setText(
            " ".join(reasons)
            or tr("{front}/{rear} meets every wish; others serve the aims better.", front=front, rear=rear)
        )

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, tr("Propose {teeth}", teeth=teeth(chosen)))


def _in_mph(wish: Wish) -> Wish:
    assert wish.speed is not None
    return replace(wish, speed=Speed(5 * round(wish.speed.value / 1.609344 / 5), "mph"))


def _title(words: str) -> QLabel:
    label = PlainLabel(words)
    label.setProperty("role", "title")
    return label


def _plain() -> tuple[QWidget, QVBoxLayout]:
    page = QWidget()
    page.setBackgroundRole(QPalette.ColorRole.Base)
    page.setAutoFillBackground(True)
    column = QVBoxLayout(page)
    column.setContentsMargins(*[theme.UNIT] * 4)
    column.setSpacing(theme.UNIT)
    return page, column


def _teeth_refusal(value: float) -> str | None:
    return checks.check_value("final_drive", "rear", value)
