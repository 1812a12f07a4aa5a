"""How far every final ratio is behind the quickest set, with the sets that are tied and the one to take of those."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from numpy.typing import NDArray
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import Name
from gearplan.window.kit.charts.pairchart import PairChart

Floats = NDArray[np.float64]


class PlateauChart(PairChart):
    """The quickest at each ratio as a line, tied sets as dots on or above it."""

    def __init__(self, parent: QWidget | None = None) -> None:
        self._tied = pg.ScatterPlotItem(size=5)
        self._chosen = pg.ScatterPlotItem(size=11)
        self._chosen_name = Name(anchor=(0.2, 1.1))
        super().__init__("behind, s", 1.0, "final ratio; dots are tied", 1.0, mark="proposed")
        self.setParent(parent)
        self._stands.label.setPosition(0.92)
        for item in (self._tied, self._chosen, self._chosen_name):
            self.getPlotItem().addItem(item, ignoreBounds=True)

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        super().recolour()
        now, fine = theme.current(), self.devicePixelRatioF()
        self._tied.setPen(None)
        self._tied.setBrush(pg.mkBrush(now.text))
        self._chosen.setPen(pg.mkPen(now.text, width=1.6 * fine))
        self._chosen.setBrush(pg.mkBrush(now.surface))
        self._chosen_name.setColor(QColor(now.text))
        self._chosen_name.setFont(theme.font(theme.SMALL, bold=True))

    def clear_lines(self) -> None:
        """There is no ranking: nothing of the last one stays."""
        self.show_lines(None, None, None)
        self._tied.setData([], [])
        self._chosen.setData([], [])
        self._chosen_name.setVisible(False)

    def show_tied(self, ratio: Floats, behind: Floats, chosen: tuple[float, float, str] | None) -> None:
        """Put a dot for each tied set, and a ring with its name (ratio, seconds, name) for the one to take."""
        self._tied.setData(ratio, behind)
        self._chosen_name.setVisible(chosen is not None)
        self._chosen.setData(*(([], []) if chosen is None else ([chosen[0]], [chosen[1]])))
        if chosen is not None:
            self._chosen_name.setText(chosen[2])
            # Above the dots, wherever those reach.
            self._chosen_name.setPos(chosen[0], max(chosen[1], float(behind.max())))
