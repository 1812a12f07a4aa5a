"""The two ways in which every page is laid out: cards, and two sides with a handle between them."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QPalette
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QSplitter, QVBoxLayout, QWidget

from gearplan.window.kit import theme


def card(margin: int = theme.UNIT, spacing: int = theme.UNIT // 2) -> tuple[QFrame, QVBoxLayout]:
    """A framed surface and the column in it."""
    frame = QFrame()
    frame.setProperty("card", True)
    column = QVBoxLayout(frame)
    column.setContentsMargins(margin, margin, margin, margin)
    column.setSpacing(spacing)
    return frame, column


def scrolled(inside: QWidget, *, across: bool = False) -> QScrollArea:
    """A widget on a surface that scrolls down where the room is too low for it, and `across` where it is too narrow."""
    inside.setBackgroundRole(QPalette.ColorRole.Base)
    inside.setAutoFillBackground(True)
    scroll = QScrollArea()
    scroll.setWidgetResizable(True)
    if not across:
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroll.setWidget(inside)
    return scroll


def two_sides(page: QWidget, left: QWidget, right: QWidget, sizes: tuple[int, int]) -> None:
    """Fill a page with two sides whose border the user can move; the left one gets more of new room."""
    split = QSplitter(Qt.Orientation.Horizontal)
    split.addWidget(left)
    split.addWidget(right)
    split.setStretchFactor(0, 3)
    split.setStretchFactor(1, 2)
    split.setSizes(list(sizes))
    split.setChildrenCollapsible(False)
    split.setHandleWidth(theme.UNIT)
    row = QHBoxLayout(page)
    row.setContentsMargins(0, 0, 0, 0)
    row.addWidget(split)
