"""The fields of the whole window: text that becomes a value, and a message beside it when it does not.

One family, so that decimal comma and point, the mouse wheel and wrong input behave alike everywhere.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol
from weakref import WeakKeyDictionary

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QSizePolicy, QWidget

from gearplan.language import tr
from gearplan.window.kit.plaintext import PlainLabel

_PATIENCE_MS = 700


class TellsErrors(Protocol):
    """A place beside fields that shows what they say of themselves."""

    def say(self, text: str, by: QWidget | None = None, note: str = "") -> None:
        """Show what is wrong with a field, or else a note of it; empty ones take it away."""


class ErrorLabel(PlainLabel):
    """The place beside one or more fields where their errors stand, in words; takes no room while there is none.

    While nothing is wrong it quietly says what was understood of a number in another unit.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "error")
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        # What a field that is gone said goes with it.
        self._said: WeakKeyDictionary[QWidget, str] = WeakKeyDictionary()
        self._noted: WeakKeyDictionary[QWidget, str] = WeakKeyDictionary()
        self.hide()

    def say(self, text: str, by: QWidget | None = None, note: str = "") -> None:
        """Show the text of one field beside those of its neighbours; an empty one takes it away."""
        self._said[self if by is None else by] = text
        self._noted[self if by is None else by] = note
        wrong = "\n".join(filter(None, self._said.values()))
        shown = wrong or "\n".join(filter(None, self._noted.values()))
        role = "error" if wrong else "quiet"
        if shown and self.property("role") != role:
            self.setProperty("role", role)
            self.style().unpolish(self)
            self.style().polish(self)
        self.setText(shown)
        self.setVisible(bool(shown))


class ValueField(QLineEdit):
    """A line of text read by `read`; emits `entered` with the value (None for an empty field) as it is typed.

    `read` raises ValueError with a message in words. Text that cannot be read stays in the field, marked, and is as
    good as nothing entered: `entered` carries None, and `unread` what the field stands for and the text (empty once
    it is gone). The message appears when the typing pauses, in `errors` and in `problem`. A `patient` field, whose
    value moves the whole window, waits with such a None until the typing pauses, the field is left or a shortcut is
    pressed.
    """

    entered = Signal(object)
    unread = Signal(str, str, str)
    finished = Signal()
    #: Enter was pressed, to go on.
    passed = Signal()

    def __init__(self, read: Callable[[str], object], parent: QWidget | None = None, *, patient: bool = False) -> None:
        super().__init__(parent)
        self._read = read
        self._patient = patient
        # A file that is dropped here is meant for the window, not as text.
        self.setAcceptDrops(False)
        self._shown: object = None
        #: The value that was last shown from outside.
        self._told: object = None
        self.problem = ""
        self._outer = ""
        self._note = ""
        self._stands_for = ("", "")
        #: The text and value that Escape brings back: as they were before this visit.
        self._kept: tuple[str, object] = ("", None)
        self.errors: TellsErrors | None = None
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PATIENCE_MS)
        self._pause.timeout.connect(self._say)
        self.textEdited.connect(self._typed)

    @property
    def value(self) -> object:
        """What the field holds; None while it is empty or cannot be read."""
        return None if self.problem or not self.text().strip() else self._shown

    @property
    def before(self) -> object:
        """The value that stood here before what is being typed."""
        return self._kept[1]

    def stands_for(self, place: str, label: str) -> None:
        """Name what is missing while the field cannot be read: its place in the file, and its label."""
        self._stands_for = (place, label)

    def show_value(self, text: str, value: object) -> None:
        """Show a value from outside, unless the field already says the same in its own words.

        Text that could not be read stays until the value itself changes: what was typed is not lost.
        """
        known, self._told = value == self._told, value
        if self.problem and known:
            return
        if value == self._shown and (self.problem or self.text() or value is None):
            return
        self._shown = value
        self._kept = (text, value)
        self._replace(text)

    def _replace(self, text: str) -> None:
        """Put a text in place of what stands there, which can be read."""
        was_wrong, self.problem, self._note = bool(self.problem), "", ""
        if self.text() != text:
            self.setText(text)
            if not self.hasFocus():
                # A long text shows how it begins.
                self.setCursorPosition(0)
        self._say()
        if was_wrong:
            self._tell_unread()

    def forget(self) -> None:
        """Drop refused text: the field belongs to another bike now."""
        if self.problem:
            self._shown = self._told = None
            self._kept = ("", None)
            self._replace("")

    def restore(self, text: str) -> None:
        """Put text back that was refused, as if it were typed again."""
        self.setText(text)
        self._typed(text)
        self._say()

    def set_outer_problem(self, text: str) -> None:
        """A problem that stands at this field but comes from its neighbours; empty for none."""
        self._outer = text
        if not self._pause.isActive():
            self._say()

    def refused_text(self) -> str:
        """Text that is in the field but could not be taken as a value; empty if there is none."""
        return self.text() if self.problem else ""

    def _typed(self, text: str) -> None:
        was_told, self._note = bool(self.problem or self._note), ""
        was_wrong, self.problem = bool(self.problem), ""
        value: object = None
        try:
            value = self._read(text) if text.strip() else None
        except ValueError as refused:
            self.problem = str(refused)
        waits = value is None and self._patient
        if was_told and not self.problem:
            # What was said of the text before must not stand beside one that is right.
            self._say()
        if self.problem or self._note or waits:
            self._pause.start()
        if not waits:
            self._take(value)
        # Told after the value, so that whoever looks finds both.
        if self.problem or was_wrong:
            self._tell_unread()

    def _tell_unread(self) -> None:
        self.unread.emit(*self._stands_for, self.refused_text().strip())

    def _take(self, value: object) -> None:
        if value != self._shown:
            self._shown = value
            self.entered.emit(value)

    def _rest(self) -> None:
        """The typing pauses: what is wrong is said, and waited for no longer."""
        if self.problem or not self.text().strip():
            self._take(None)
        self._say()

    def _settle(self) -> None:
        """What stands in the field now is meant."""
        self._rest()
        if not self.problem:
            self._kept = (self.text(), self._shown)

    def _say(self) -> None:
        self._pause.stop()
        text = self.problem or self._outer
        if self.property("wrong") != bool(text):
            self.setProperty("wrong", bool(text))
            self.style().unpolish(self)
            self.style().polish(self)
        self.setAccessibleDescription(text or self._note or self._unit_words())
        if self.errors is not None:
            self.errors.say(text, self, self._note)

    def _unit_words(self) -> str:
        """What a screen reader says of the field while there is nothing else to say."""
        return ""

    def event(self, event: QEvent) -> bool:
        """Undo and redo are those of the whole window, not of one line of text."""
        if event.type() == QEvent.Type.ShortcutOverride:
            assert isinstance(event, QKeyEvent)
            if self._patient and event.modifiers() & ~Qt.KeyboardModifier.ShiftModifier:
                # A shortcut may save or print: not with a value that no longer stands in the field.
                self._rest()
            if event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo):
                event.ignore()
                return False
        return super().event(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Say what is wrong at once, and let the edits of this visit be one step."""
        super().focusOutEvent(event)
        self._settle()
        self.finished.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter finishes the field without leaving it; Escape brings back what stood there before."""
        if event.key() == Qt.Key.Key_Escape and self.problem:
            text, value = self._kept
            self._replace(text)
            self._take(value)
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._settle()
            self.finished.emit()
            self.passed.emit()
            return
        super().keyPressEvent(event)


class ChoiceField(QComboBox):
    """One of a few words, or none; emits `entered` with the word or None."""

    entered = Signal(object)

    def __init__(self, choices: tuple[str, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.addItem("–", None)
        for choice in choices:
            self.addItem(tr(choice), choice)
        self.activated.connect(self._picked)

    def show_choice(self, value: str | None) -> None:
        """Show a word from outside."""
        index = self.findData(value)
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def _picked(self, _index: int) -> None:
        self.entered.emit(self.currentData())

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Never change by the wheel without the focus."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


def labelled(text: str, field: QWidget, parent: QWidget | None = None) -> QLabel:
    """A label that belongs to the field, for the eye, the keyboard and the screen reader."""
    label = PlainLabel(text, parent)
    label.setBuddy(field)
    field.setAccessibleName(text.replace("&", ""))
    return label
