"""The frame that all charts share."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QSize, Qt, QTimer
from PySide6.QtGui import QAccessible, QFocusEvent, QPaintEvent
from PySide6.QtWidgets import QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.charts import told
from gearplan.window.kit.charts.pens import colour_axes
from gearplan.window.kit.charts.role import install

#: What stands beside and below the plot, in whose middle the names of the axes stand.
_BESIDE = QSize(60, 40)
#: What stands above and below it where no axis stands below.
_BARE = 12
#: While something is dragged nothing is told.
_TOLD_AFTER_MS = 300


class PlainChart(pg.PlotWidget):  # type: ignore[misc]
    """A chart without menu, buttons or mouse of its own; who derives from it adds items and `recolour`."""

    #: It can be read from this size on, at the usual size of text.
    LEAST = QSize(180, 104)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent, enableMenu=False)
        # The background covers all of it, so nothing behind needs painting.
        self.viewport().setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.hideButtons()
        self.setMouseEnabled(x=False, y=False)
        self._own_words = ""
        self._telling = QTimer(self)
        self._telling.setSingleShot(True)
        self._telling.setInterval(_TOLD_AFTER_MS)
        self._telling.timeout.connect(self._tell)

    def dressed(self) -> tuple[theme.Theme, float]:
        """The current theme, and how many pixels of the screen one of ours has, with ground and axes in its colours."""
        now = theme.current()
        self.setBackground(now.surface)
        colour_axes(self.getPlotItem())
        return now, self.devicePixelRatioF()

    def minimumSizeHint(self) -> QSize:
        """The least in which axes, names and lines can be told apart: the names of the axes are whole."""
        up, across = (self._name_of(axis) for axis in ("left", "bottom"))
        return QSize(
            max(theme.px(self.LEAST.width()), across + theme.px(_BESIDE.width())),
            max(theme.px(self.LEAST.height()), up + theme.px(_BESIDE.height() if across else _BARE)),
        )

    def _name_of(self, axis: str) -> int:
        """The length of an axis's name."""
        label = self.getPlotItem().getAxis(axis).label
        return int(label.boundingRect().width()) if label.isVisible() else 0

    def sizeHint(self) -> QSize:
        """The same: a page gives what it has left."""
        return self.minimumSizeHint()

    def setAccessibleDescription(self, text: str) -> None:
        """What the chart says of itself; what is drawn is told behind it."""
        self._own_words = text
        super().setAccessibleDescription(text)

    def sentence(self) -> str:
        """What is drawn, in words."""
        return told.sentence(self.getPlotItem())

    def as_table(self) -> told.Table:
        """Heads, and a row for each point of each curve."""
        return told.table(self.getPlotItem())

    def _tell(self) -> None:
        super().setAccessibleDescription(" ".join(filter(None, (self._own_words, self.sentence()))))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """Who comes here by keys is told what is drawn."""
        self._tell()
        super().focusInEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        """What is drawn anew is told anew, once it has come to rest and if somebody listens."""
        super().paintEvent(event)
        if QAccessible.isActive():
            self._telling.start()

    def recolour(self) -> None:
        """Take the colours of the current theme."""
        raise NotImplementedError

    def event(self, event: QEvent) -> bool:
        """Take pens for another screen when the window moves to one."""
        if event.type() == QEvent.Type.DevicePixelRatioChange:
            self.recolour()
        return bool(super().event(event))


install(PlainChart)
