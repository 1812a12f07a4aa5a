"""The yardstick: a bare PySide6 window with one pyqtgraph plot. Prints seconds from the given start to its paint."""

from __future__ import annotations

import sys
import time

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QMainWindow


class Painted(QObject):
    """Prints when the watched widget is painted, and ends the program."""

    def __init__(self, started: float) -> None:
        super().__init__()
        self._started = started

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint and self._started:
            QTimer.singleShot(0, self._told)
        return False

    def _told(self) -> None:
        if self._started:
            print(time.monotonic() - self._started)
            self._started = 0.0
            QApplication.exit()


def main() -> None:
    app = QApplication([])
    window = QMainWindow()
    plot = pg.PlotWidget()
    plot.plot([0, 1, 2], [0, 2, 1])
    window.setCentralWidget(plot)
    window.resize(1280, 800)
    watch = Painted(float(sys.argv[1]))
    plot.viewport().installEventFilter(watch)
    window.show()
    app.exec()


if __name__ == "__main__":
    main()
