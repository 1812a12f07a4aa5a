"""The place above the table where all that is said of the sections stands: as high whatever it says."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QSizePolicy

from gearplan.language import tr
from gearplan.window.kit.places.layout import WholeLines
from gearplan.window.kit.plaintext import PlainLabel

_LINES, _WIDE = 2, 280


class Said(WholeLines):
    """Keeps what each one says beside what the others do, the newest first; scrolls where that is more than it shows.

    It takes what fields say of wrong input, as `kit.fields.ErrorLabel` does.
    """

    def __init__(self) -> None:
        label = PlainLabel()
        label.setWordWrap(True)
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        label.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        label.setAccessibleName(tr("What is said of the sections"))
        super().__init__(label, words=_WIDE)
        self.label = label
        self._said: dict[object, str] = {}
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        label.setBackgroundRole(QPalette.ColorRole.Base)
        label.setAutoFillBackground(True)
        self.show_lines(_LINES)

    def sizeHint(self) -> QSize:
        """As high as its lines."""
        return self.minimumSizeHint()

    def changeEvent(self, event: QEvent) -> None:
        """Text of another size has lines of another height."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            self.show_lines(_LINES)

    def say(self, text: str, by: object = None, note: str = "") -> None:
        """Show the text of one, or else the note; empty ones take it away."""
        new = text or note
        if self._said.get(by, "") == new:
            return
        kept = {one: said for one, said in self._said.items() if one != by}
        self._said = {by: new, **kept} if new else kept
        self.label.setText("\n".join(self._said.values()))

    def text(self) -> str:
        """All that is said."""
        return self.label.text()
