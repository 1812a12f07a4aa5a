"""Pens and axes that all charts share."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtGui import QPen

from gearplan.language import decimal
from gearplan.sheet.axes import round_step
from gearplan.window.kit import theme

Floats = NDArray[np.float64]


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
        axis.tickStrings = partial(_as_written, axis.tickStrings)
    plot.disableAutoRange()


def _as_written(own: Callable[..., list[str]], values: Any, scale: float, spacing: float) -> list[str]:
    return [decimal(text) for text in own(values, scale, spacing)]


def colour_axes(plot: Any) -> None:
    """Axes in the colours and type of the current theme."""
    now = theme.current()
    # Half of a tick's number stands beyond the end of its axis, and a name below it sticks out as the text grows.
    below = max(theme.px(4) - 4, 0)
    plot.layout.setContentsMargins(0, theme.px(theme.UNIT) + 2, theme.px(2 * theme.UNIT), below)
    for name in ("left", "bottom"):
        axis = plot.getAxis(name)
        axis.setPen(pg.mkPen(now.edge))
        axis.setTextPen(pg.mkPen(now.quiet))
        axis.setTickFont(theme.font(theme.SMALL))
        axis.label.setFont(theme.font(theme.SMALL))


def round_axes(plot: Any, grid: Any, right: float, top: float, most: tuple[int, int] = (12, 10)) -> None:
    """Axes from zero with at most so many round steps, and the lines of the grid at them as one curve of pairs."""
    plot.setRange(xRange=(0, right), yRange=(0, top), padding=0)
    across, up = (np.arange(0, end, round_step(end, steps)) for end, steps in zip((right, top), most, strict=True))
    for name, ticks, end in (("bottom", across, right), ("left", up, top)):
        shown = [(value, f"{value:.0f}") for value in ticks.tolist()]
        if len(ticks) > 1 and end - ticks[-1] >= 0.999 * ticks[1]:
            shown.append((end, f"{end:.0f}"))
        plot.getAxis(name).setTicks([shown])
    put_grid(grid, across[1:], up[1:], (0, right), (0, top))


def put_grid(grid: Any, across: Floats, up: Floats, wide: tuple[float, float], high: tuple[float, float]) -> None:
    """The lines of a grid at some places as one curve of pairs, over all of the plot."""
    grid.setData(
        np.concatenate([np.repeat(across, 2), np.tile(wide, len(up))]),
        np.concatenate([np.tile(high, len(across)), np.repeat(up, 2)]),
    )
