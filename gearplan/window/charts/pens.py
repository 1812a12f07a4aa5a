"""Pens and axes that all charts share."""

from __future__ import annotations

from typing import Any

import pyqtgraph as pg
from PySide6.QtGui import QPen

from gearplan.window import theme


def dashed(colour: str, width: float) -> QPen:
    """The fitted set's line: quiet and dashed."""
    pen = pg.mkPen(colour, width=width)
    pen.setDashPattern([5, 4])
    return pen  # type: ignore[no-any-return]


def dotted(colour: str, width: float) -> QPen:
    """A limit's line."""
    pen = pg.mkPen(colour, width=width)
    pen.setDashPattern([1.5, 3])
    return pen  # type: ignore[no-any-return]


def plain_axes(plot: Any) -> None:
    """Axes with plain numbers on major ticks only, and room at the top and right."""
    for name in ("left", "bottom"):
        axis = plot.getAxis(name)
        axis.enableAutoSIPrefix(False)
        axis.setStyle(maxTextLevel=0, maxTickLevel=0, hideOverlappingLabels=False)
    plot.disableAutoRange()
    plot.layout.setContentsMargins(0, theme.UNIT, 2 * theme.UNIT, 0)


def colour_axes(plot: Any) -> None:
    """Axes in the colours and type of the current theme."""
    now = theme.current()
    for name in ("left", "bottom"):
        axis = plot.getAxis(name)
        axis.setPen(pg.mkPen(now.line))
        axis.setTextPen(pg.mkPen(now.quiet))
        axis.setTickFont(theme.font(theme.SMALL))
        axis.label.setFont(theme.font(theme.SMALL))
