"""A chart says to a screen reader that it is one; Qt calls every view a filler, which readers pass over."""

from __future__ import annotations

from PySide6.QtCore import QObject
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QAccessibleWidget, QWidget

_made: list[QAccessibleWidget] = []


class _Chart(QAccessibleWidget):
    """Name and description are the widget's; its parts are paper."""

    def childCount(self) -> int:
        """Nothing within it is gone to."""
        return 0


def install(kind: type[QWidget]) -> None:
    """Let widgets of a kind be told as charts."""

    def factory(_key: str, widget: QObject) -> QAccessibleWidget | None:
        if not isinstance(widget, kind):
            return None
        # Qt keeps it as long as the widget; Python must not end it before.
        _made.append(_Chart(widget, QAccessible.Role.Chart))
        return _made[-1]

    QAccessible.installFactory(factory)
