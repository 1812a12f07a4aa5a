"""A range of tooth counts as two fields, from and to."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel

from gearplan.bike import checks
from gearplan.window.kit.fields import ErrorLabel, NumberField


class TeethRange(QObject):
    """The fields of one side's range; `entered` carries (side, (lowest, highest)) once both make a range.

    `purpose` says to a screen reader what the range is for. A range of more than `most` counts is refused.
    """

    entered = Signal(str, tuple)

    def __init__(self, side: str, purpose: str, errors: ErrorLabel, width: int, most: int | None = None) -> None:
        super().__init__(errors)
        self._side, self._most = side, most
        self.fields = NumberField(_refusal, whole=True), NumberField(_refusal, whole=True)
        for field, end in zip(self.fields, ("from", "to"), strict=True):
            field.setFixedWidth(width)
            field.errors = errors
            field.setAccessibleName(f"{purpose} {side} teeth {end}")
            field.entered.connect(self._typed)

    def put_into(self, row: QHBoxLayout) -> None:
        """Add both fields to a row."""
        row.addWidget(self.fields[0])
        row.addWidget(QLabel("–"))
        row.addWidget(self.fields[1])

    def show_ends(self, ends: tuple[int, int]) -> None:
        """Show a range from outside, except in a field that is being typed in."""
        for field, end in zip(self.fields, ends, strict=True):
            if not field.hasFocus():
                field.show_number(end)

    def forget(self) -> None:
        """Drop refused text: the range belongs to another bike now."""
        for field in self.fields:
            field.forget()
            field.set_outer_problem("")

    def _typed(self, _value: object) -> None:
        low, high = self.fields
        try:
            ends = int(low.text()), int(high.text())
        except ValueError:
            return
        problem = ""
        if ends[0] > ends[1]:
            problem = f"The {self._side} range is upside down: {ends[0]} is more than {ends[1]}."
        elif self._most is not None and ends[1] - ends[0] >= self._most:
            problem = f"A range of at most {self._most} tooth counts can be shown."
        low.set_outer_problem(problem)
        if not (problem or low.problem or high.problem):
            self.entered.emit(self._side, ends)


def _refusal(value: float) -> str | None:
    return checks.check_value("final_drive", "rear", value)
