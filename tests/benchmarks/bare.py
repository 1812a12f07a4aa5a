"""The yardstick: a bare PySide6 window with one pyqtgraph plot. Prints the processor's seconds until it is painted."""

from __future__ import annotations

import time

import pyqtgraph as pg
from PySide6.QtCore import QEvent, QObject, QTimer
from PySide6.QtWidgets import QApplication, QMainWindow


class Painted(QObject):
    """Prints when the watched widget is painted, and ends the program."""

    def __init__(self) -> None:
        super().__init__()
        self._waiting = True

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint and self._waiting:
            QTimer.singleShot(0, self._told)
        return False

    def _told(self) -> None:
        if self._waiting:
            print(time.process_time())
            self._waiting = False
            QApplication.exit()


def main() -> None:
    app = QApplication([])
    window = QMainWindow()
    plot = pg.PlotWidget()
    plot.plot([0, 1, 2], [0, 2, 1])
    window.setCentralWidget(plot)
    window.resize(1280, 800)
    watch = Painted()
    plot.viewport().installEventFilter(watch)
    window.show()
    app.exec()


if __name__ == "__main__":
    main()
