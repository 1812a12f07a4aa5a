"""The fields of the whole window: text that becomes a value, and a message beside it when it does not.

One family, so that decimal comma and point, the mouse wheel and wrong input behave alike everywhere.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QKeySequence, QWheelEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QSizePolicy, QWidget

from gearplan.bike.numbertext import format_number, parse_km, parse_number, parse_whole

_PATIENCE_MS = 700


class ErrorLabel(QLabel):
    """The place beside one or more fields where their errors stand, in words; takes no room while there is none."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "error")
        self.setWordWrap(True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self._said: dict[int, str] = {}
        self.hide()

    def say(self, text: str, by: QWidget | None = None) -> None:
        """Show the text of one field beside those of its neighbours; an empty one takes it away."""
        self._said[id(by)] = text
        shown = "\n".join(filter(None, self._said.values()))
        self.setText(shown)
        self.setVisible(bool(shown))


class ValueField(QLineEdit):
    """A line of text read by `read`; emits `entered` with the value (None for an empty field) as it is typed.

    `read` raises ValueError with a message in words. Text that cannot be read stays in the field, marked; the
    message appears when the typing pauses, in `errors` and in `problem`.
    """

    entered = Signal(object)
    finished = Signal()

    def __init__(self, read: Callable[[str], object], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._read = read
        self._shown: object = None
        self.problem = ""
        self._outer = ""
        self._good_text = ""
        self.errors: ErrorLabel | None = None
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PATIENCE_MS)
        self._pause.timeout.connect(self._say)
        self.textEdited.connect(self._typed)

    def show_value(self, text: str, value: object) -> None:
        """Show a value from outside, unless the field already says the same in its own words.

        Text that could not be read stays until the value itself changes: what was typed is not lost.
        """
        if value == self._shown and (self.problem or self.text() or value is None):
            return
        self._shown = value
        self.problem = ""
        self._good_text = text
        if self.text() != text:
            self.setText(text)
            if not self.hasFocus():
                # A long text shows how it begins.
                self.setCursorPosition(0)
        self._say()

    def forget(self) -> None:
        """Drop refused text: the field belongs to another bike now."""
        if self.problem:
            self.problem = ""
            self._shown = None
            self.clear()
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
        try:
            value = self._read(text) if text.strip() else None
        except ValueError as refused:
            self.problem = str(refused)
            self._pause.start()
            return
        was_wrong = bool(self.problem)
        self.problem = ""
        self._good_text = text
        if was_wrong:
            self._say()
        if value != self._shown:
            self._shown = value
            self.entered.emit(value)

    def _say(self) -> None:
        self._pause.stop()
        text = self.problem or self._outer
        if self.property("wrong") != bool(text):
            self.setProperty("wrong", bool(text))
            self.style().unpolish(self)
            self.style().polish(self)
        self.setAccessibleDescription(text)
        if self.errors is not None:
            self.errors.say(text, self)

    def event(self, event: QEvent) -> bool:
        """Undo and redo are those of the whole window, not of one line of text."""
        if event.type() == QEvent.Type.ShortcutOverride:
            assert isinstance(event, QKeyEvent)
            if event.matches(QKeySequence.StandardKey.Undo) or event.matches(QKeySequence.StandardKey.Redo):
                event.ignore()
                return False
        return super().event(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """Say what is wrong at once, and let the edits of this visit be one step."""
        super().focusOutEvent(event)
        self._say()
        self.finished.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter finishes the field without leaving it; Escape takes refused text back."""
        if event.key() == Qt.Key.Key_Escape and self.problem:
            self.problem = ""
            self.setText(self._good_text)
            self._say()
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._say()
            self.finished.emit()
            return
        super().keyPressEvent(event)


class NumberField(ValueField):
    """A field for one number, decimal point or comma, in any locale; `check` gives a refusal in words.

    With a `step`, the Up and Down keys, and the wheel while the field has the focus, change the value by it.
    """

    def __init__(
        self,
        check: Callable[[float], str | None],
        *,
        whole: bool = False,
        step: int = 0,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(self._number, parent)
        self._check = check
        self._whole = whole
        self._step = step
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setFixedWidth(84)

    def show_number(self, value: float | None) -> None:
        """Show a number, or an empty field for None."""
        self.show_value("" if value is None else format_number(value), value)

    def _number(self, text: str) -> float:
        return self._checked(parse_whole(text) if self._whole else parse_number(text))

    def _checked(self, value: float) -> float:
        if refusal := self._check(value):
            raise ValueError(refusal)
        return value

    def _stepped(self, by: int) -> None:
        if self._shown is None or self.problem:
            return
        assert isinstance(self._shown, (int, float))
        text = format_number(self._shown + by * self._step)
        try:
            self._number(text)
        except ValueError:
            return
        self.setText(text)
        self._typed(text)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down step the value."""
        if self._step and event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down) and not event.modifiers():
            self._stepped(1 if event.key() == Qt.Key.Key_Up else -1)
            return
        super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        """The wheel steps the value only while the field has the focus; otherwise the page scrolls."""
        if not (self._step and self.hasFocus()) or not event.angleDelta().y():
            event.ignore()
            return
        self._stepped(1 if event.angleDelta().y() > 0 else -1)
        event.accept()


class OdometerField(NumberField):
    """A field for an odometer's distance, in kilometres unless mi is written behind it; emits kilometres."""

    def __init__(self, check: Callable[[float], str | None], parent: QWidget | None = None) -> None:
        super().__init__(check, parent=parent)
        self.setToolTip("Kilometres; for miles write mi behind the number, such as 11588 mi")

    def _number(self, text: str) -> float:
        return self._checked(parse_km(text))


class ChoiceField(QComboBox):
    """One of a few words, or none; emits `entered` with the word or None."""

    entered = Signal(object)

    def __init__(self, choices: tuple[str, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.addItem("–", None)
        for choice in choices:
            self.addItem(choice, choice)
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
    label = QLabel(text, parent)
    label.setBuddy(field)
    field.setAccessibleName(text.replace("&", ""))
    return label
