"""What to measure next, in order, each a link to its field."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QWidget

from gearplan.language import tr
from gearplan.plan.set.measurenext import Next

#: More at once is a list that nobody reads.
_MOST = 3


class NextMeasurements(QLabel):
    """The measurements that are worth most, numbered. `field_wanted` carries a field ("section.key")."""

    field_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setWordWrap(True)
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.linkActivated.connect(self.field_wanted)

    def show_next(self, asked: tuple[Next, ...]) -> None:
        """Show the first of them; nothing where nothing is open."""
        links = []
        for number, one in enumerate(asked[:_MOST], 1):
            do, rest = one.text.split(":", 1)
            links.append(f'{number}. <a href="{one.field}">{escape(do)}</a>:{escape(rest)}')
        text = "<br>".join(["Measure next", *links]) if links else ""
        if text != self.text():
            self.setText(text)
            self.setAccessibleName(tr("Measure next: ") + " ".join(one.text for one in asked[:_MOST]))
        self.setVisible(bool(links))
