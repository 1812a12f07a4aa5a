"""The one action that is filled on pages where a set is found: what comes next is to tell it to the customer."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton, QWidget

from gearplan.language import tr
from gearplan.window.kit.places.layout import primary


class CustomerButton(QPushButton):
    """Leads to the customer's page."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(tr("Show the customer"), parent)
        primary(self)
        self.setToolTip(tr("The proposed set in plain words, and as a page to take home"))
