"""Sentences that wrap before their lines grow too long to be read."""

from __future__ import annotations

from typing import Any

from gearplan.window.kit.places.layout import most_width
from gearplan.window.kit.plaintext import PlainLabel

#: No more than 70 letters in a line, at the usual size of text; and of small text.
_READ, _READ_SMALL = 400, 350


class Sentences(PlainLabel):
    """A label whose text wraps, in a place of any width."""

    def __init__(self, *given: Any, small: bool = False) -> None:
        super().__init__(*given)
        self.setWordWrap(True)
        if small:
            self.setProperty("role", "small")
        most_width(self, _READ_SMALL if small else _READ)

    def heightForWidth(self, width: int) -> int:
        """How high the text is in a place of that width, of which it takes no more than it may."""
        return super().heightForWidth(min(width, self.maximumWidth()))
