"""A range of tooth counts as two fields, from and to."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QLabel, QWidget

from gearplan.bike import checks
from gearplan.language import tr
from gearplan.window.kit.places.flow import together
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel

from .fields import ErrorLabel
from .numberfield import NumberField


class TeethRange(QObject):
    """The fields of one side's range; `entered` carries (side, (lowest, highest)), None while they make no range.

    `purpose` says to a screen reader what the range is for. A range of more than `most` counts is refused.
    """

    entered = Signal(str, object)

    def __init__(self, side: str, purpose: str, errors: ErrorLabel, width: int, most: int | None = None) -> None:
        super().__init__(errors)
        self._side, self._most = side, most
        self._wrong = False
        self.fields = tuple(NumberField(_refusal, unit="teeth", whole=True, patient=True) for _ in range(2))
        front = side == "front"
        ends = (
            tr("{purpose} front teeth from", purpose=purpose)
            if front
            else tr("{purpose} rear teeth from", purpose=purpose),
            tr("{purpose} front teeth to", purpose=purpose)
            if front
            else tr("{purpose} rear teeth to", purpose=purpose),
        )
        for field, end in zip(self.fields, ends, strict=True):
            fixed_width(field, width)
            field.errors = errors
            field.setAccessibleName(end)
            field.entered.connect(self._typed)

    def beside(self, title: QLabel) -> QWidget:
        """Both fields in a line with their title."""
        return together(title, self.fields[0], PlainLabel("–"), self.fields[1])

    def show_ends(self, ends: tuple[int, int]) -> None:
        """Show a range from outside, except over one that is being typed or cannot be taken as it stands."""
        if self._wrong or any(field.hasFocus() or field.problem for field in self.fields):
            return
        for field, end in zip(self.fields, ends, strict=True):
            field.show_number(end)

    def forget(self) -> None:
        """Drop refused text: the range belongs to another bike now."""
        self._wrong = False
        for field in self.fields:
            field.forget()
            field.set_outer_problem("")

    def _typed(self, _value: object) -> None:
        low, high = (field.value for field in self.fields)
        if not (isinstance(low, int) and isinstance(high, int)):
            self.entered.emit(self._side, None)
            return
        problem = ""
        if low > high:
            problem = (
                tr("The front range is upside down: {low} is more than {high}.", low=low, high=high)
                if self._side == "front"
                else tr("The rear range is upside down: {low} is more than {high}.", low=low, high=high)
            )
        elif self._most is not None and high - low >= self._most:
            problem = tr("A range of at most {most} tooth counts can be shown.", most=self._most)
        self._wrong = bool(problem)
        self.fields[0].set_outer_problem(problem)
        self.entered.emit(self._side, None if problem else (low, high))


def _refusal(value: float) -> str | None:
    return checks.check_value("final_drive", "rear", value)
