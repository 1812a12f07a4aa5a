"""What is asked first of a new bike: a form that can be left and taken up again, and what it tells so far."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QEvent, QObject, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import checks
from gearplan.bike.profile import KINDS, Bike
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted, without_sprockets
from gearplan.plan.set.begun import begun
from gearplan.plan.set.compare import speed_lines
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.grid import evaluate_grid
from gearplan.plan.words import teeth
from gearplan.setup.basics import BASICS, KIND, blank_basics
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ChoiceField, ValueField, labelled
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import Scrolled, card, fixed_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.view import View
from gearplan.window.measuring.measurer import Measurer
from gearplan.window.measuring.panel import WIDTH
from gearplan.window.newbike.preview import SpeedPreview
from gearplan.window.search.gridview import LEGEND, GridView

#: From this width on, at the usual size of text, where it is found has room beside the form.
_WITH_PANEL = 660
#: A label stays near its field, however wide the window is: the form's width at the usual size of text.
_WIDEST = 460
#: Fewer teeth no sprocket of the grid has; how many teeth more and fewer than fitted the grid shows.
_LEAST_TEETH, _AROUND_FRONT, _AROUND_REAR = 9, 2, 3
_INTRODUCTION = tr(
    "All of it stands on the motorcycle. Enter goes to the next; what is not at hand stays blank for later."
)


class NewBikePage(QWidget):
    """Kind, tyre, sprockets, chain, redline and number of gears; every entry goes to the document as it is typed.

    `answer_asked` asks for the page that shows what follows, `left` for the page that was there before.
    """

    answer_asked = Signal()
    left = Signal()

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._view = document, view
        self._measurer = Measurer(document, self)
        self.name, self.kind = ValueField(str.strip), ChoiceField(KINDS[1:])
        self.form = EntryForm(document, tuple((s, k) for s, k in (p.split(".") for p in BASICS if p != KIND)))
        for entry_row in self.form.rows.values():
            self._measurer.follow(entry_row)
        self._measurer.follow_field(KIND, self.kind)
        for field in (self.name, self.kind, *(f for one in self.form.rows.values() for _, f in one.places())):
            field.installEventFilter(self)
        self.measuring = self._measurer.panel()
        fixed_width(self.measuring, WIDTH)
        self._beside = Scrolled(self.measuring)
        frame, column = card(2 * theme.UNIT, theme.UNIT)
        title, words = PlainLabel("New bike"), PlainLabel(_INTRODUCTION)
        title.setProperty("role", "title")
        words.setProperty("role", "small")
        self.told, self.preview = PlainLabel(), SpeedPreview(view)
        for label in (words, self.told):
            label.setWordWrap(True)
        self.grid, self.legend = GridView(), PlainLabel(LEGEND)
        self.legend.setProperty("role", "small")
        self.legend.setWordWrap(True)
        self.grid.proposed.connect(self._propose)
        self._asked = self._head()
        self.recolour()
        asked = QVBoxLayout()
        asked.addWidget(self._asked)
        asked.addWidget(self.form)
        both = QHBoxLayout()
        both.setSpacing(2 * theme.UNIT)
        both.addLayout(asked)
        both.addWidget(self.preview, 1)
        column.addWidget(title)
        column.addWidget(words)
        column.addLayout(both)
        column.addWidget(self.told)
        column.addWidget(self.grid)
        column.addWidget(self.legend)
        column.addWidget(self._buttons())
        column.addStretch(1)
        self._scroll = Scrolled(frame)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.UNIT)
        row.addWidget(self._scroll, 1)
        row.addWidget(self._beside)

    def _head(self) -> QWidget:
        head = QWidget()
        grid = QGridLayout(head)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setColumnStretch(0, 1)
        self.name.setMaxLength(200)
        self.name.setPlaceholderText(tr("What it is called"))
        self.name.entered.connect(self._named)
        self.name.finished.connect(self._document.end_merge)
        self.kind.entered.connect(self._kind_chosen)
        for line, (text, field) in enumerate(((tr("Name"), self.name), (tr("Kind"), self.kind))):
            fixed_width(field, 200)
            grid.addWidget(labelled(text, field), line, 0)
            grid.addWidget(field, line, 1)
        return head

    def _buttons(self) -> QWidget:
        self.answer, self.later = QPushButton(tr("Speeds and sets")), QPushButton(tr("Later (Esc)"))
        self.answer.clicked.connect(self.answer_asked)
        self.later.clicked.connect(self.left)
        self.ask_measuring = QPushButton(tr("Where it is found (F1)"))
        self.ask_measuring.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.ask_measuring.clicked.connect(self._measurer.show_window)
        place = QWidget()
        flow = Flow()
        for button in (self.answer, self.later, self.ask_measuring):
            flow.addWidget(button)
        place.setLayout(flow)
        return place

    def minimumSizeHint(self) -> QSize:
        """What the form needs: where it is found comes beside it only where there is room."""
        return self._scroll.minimumSizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The panel needs a width of its own beside the form."""
        super().resizeEvent(event)
        beside = event.size().width() >= theme.px(_WITH_PANEL)
        self._beside.setVisible(beside)
        self.ask_measuring.setVisible(not beside)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape leaves; what was typed stays."""
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter goes from a field that can be read to the next that is blank."""
        if event.type() != QEvent.Type.KeyPress or not isinstance(event, QKeyEvent):
            return False
        if event.key() not in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            return False
        if isinstance(watched, ValueField):
            # The field takes its Enter first.
            watched.keyPressEvent(event)
            if watched.problem:
                return True
        self._next()
        return True

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike = self._document.bike
        self.name.show_value(bike.name, bike.name or None)
        self.kind.setPlaceholderText("" if bike.kind in KINDS else bike.kind)
        self.kind.show_choice(None if bike.kind == KINDS[0] else bike.kind)
        self.form.refresh(checks.check_bike(bike))
        result = evaluate(bike, fitted(bike))
        told = "\n".join(begun(bike, result, self._view.speed_unit))
        self.told.setText(told)
        self.preview.show_lines(speed_lines(bike, result), told)
        self._show_grid(bike)

    def _show_grid(self, bike: Bike) -> None:
        """The sets around the fitted one with their verdicts, as soon as there is one."""
        on = fitted(bike)
        known = on.front is not None and on.rear is not None
        for widget in (self.legend, self.grid):
            widget.setVisible(known)
        if on.front is None or on.rear is None:
            return
        fronts = range(max(on.front - _AROUND_FRONT, _LEAST_TEETH), on.front + _AROUND_FRONT + 1)
        rears = range(max(on.rear - _AROUND_REAR, _LEAST_TEETH), on.rear + _AROUND_REAR + 1)
        chosen = self._document.chosen
        grid = evaluate_grid(bike, without_sprockets(chosen), tuple(fronts), tuple(rears))
        self.grid.show_grid(bike, grid, chosen)
        self.grid.setFixedHeight(self.grid.rows_high(len(rears)))

    def begin(self, place: str = "") -> None:
        """Put the focus into a place, or into the first that is still blank."""
        blank = blank_basics(self._document.bike)
        self._focus(place or (blank[0] if blank else KIND))

    def how_to_measure(self) -> bool:
        """Show in a window where the field with the focus is found; False where there is none such."""
        return self._measurer.asked()

    def forget(self) -> None:
        """Another bike was opened: drop text that was refused for the last one."""
        self._measurer.forget()
        for field in self.findChildren(ValueField):
            field.forget()

    def recolour(self) -> None:
        """The style sheet colours all of this page; the size of text may have changed."""
        for asked in (self._asked, self.form):
            asked.setMaximumWidth(theme.px(_WIDEST))

    def _focus(self, place: str) -> None:
        if place == KIND:
            self.kind.setFocus(Qt.FocusReason.OtherFocusReason)
        else:
            section, key = place.split(".")
            self.form.rows[section, key].focus()
        if (at := QApplication.focusWidget()) is not None:
            self._scroll.ensureWidgetVisible(at)

    def _next(self) -> None:
        """From the field at hand to the next that is blank; from the last on to the answer."""
        at = QApplication.focusWidget()
        here = at.property("measured") if at is not None else None
        after = BASICS[BASICS.index(here) + 1 :] if here in BASICS else BASICS
        blank = [place for place in after if place in blank_basics(self._document.bike)]
        if blank:
            self._focus(blank[0])
        else:
            self.answer.setFocus(Qt.FocusReason.OtherFocusReason)
            self.answer.click()

    def _propose(self, chosen: DriveSet) -> None:
        self._document.propose(chosen, tr("Propose {teeth}", teeth=teeth(chosen)))

    def _kind_chosen(self, value: object) -> None:
        assert value is None or isinstance(value, str)
        self._document.edit(tr("Kind"), replace(self._document.bike, kind=value or KINDS[0]))

    def _named(self, value: object) -> None:
        assert value is None or isinstance(value, str)
        self._document.edit(tr("Name"), replace(self._document.bike, name=value or ""), merge="name")
