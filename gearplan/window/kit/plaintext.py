"""Text from outside (names, notes, files, errors) is shown as it was written: nothing in it is taken as HTML.

Qt looks at each text of a label, a question or a tip and draws what looks like HTML as such, pictures and links
included. So every label is a `PlainLabel`, and what is put into a question or a tip goes through `plain`.
"""

from __future__ import annotations

import html
from typing import Any

from PySide6.QtGui import Qt
from PySide6.QtWidgets import QLabel


class PlainLabel(QLabel):
    """A label that shows its text as it stands."""

    def __init__(self, *given: Any) -> None:
        super().__init__(*given)
        self.setTextFormat(Qt.TextFormat.PlainText)


def plain(text: str) -> str:
    """The text so that a question or a tip shows it as it stands; most stay as they are."""
    if not Qt.mightBeRichText(text):
        return text
    return f"<qt>{html.escape(text).replace(chr(10), '<br>')}</qt>"
