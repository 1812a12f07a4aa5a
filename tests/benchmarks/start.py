"""Prints the processor's seconds until the demo bike's sets, sliders, verdict and tables are painted, and until the
chart is painted too."""

from __future__ import annotations

import os
import tempfile
import time

# Nobody's settings: a window that opens on another page paints no chart.
os.environ["XDG_CONFIG_HOME"] = os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp()

from PySide6.QtCore import QEvent, QObject
from PySide6.QtWidgets import QApplication

from gearplan.window.frame import application


class Watch(QObject):
    """Notes when the grid and the chart are painted, and ends the program after both."""

    def __init__(self) -> None:
        super().__init__()
        self.app = application.prepared_application()
        self.window = application.shown_window(self.app, None)
        self.window.charts_made.connect(self._watch_chart)
        self._chart_viewport: QObject | None = None
        self._usable = 0.0
        self.app.installEventFilter(self)

    def _watch_chart(self) -> None:
        self._chart_viewport = self.window.speed_page.chart.viewport()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Paint:
            if not self._usable and watched.parent().__class__.__name__ == "GridView":
                self._usable = time.process_time()
            elif watched is self._chart_viewport:
                print(self._usable, time.process_time(), flush=True)
                self._chart_viewport = None
                QApplication.exit()
        return False


if __name__ == "__main__":
    watch = Watch()
    watch.app.exec()
