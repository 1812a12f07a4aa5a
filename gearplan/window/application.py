"""Starting and ending the window: application, theme, first paint, then the pages behind it."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication

from gearplan import __version__
from gearplan.bike.demo import demo_bike
from gearplan.window import crash, settings, theme
from gearplan.window.workbench import Workbench


def run(file: str | None) -> int:
    """Show the window on a file, or on a demo bike; returns the exit code when it is closed."""
    app = prepared_application()
    known = settings.load()
    theme.apply(app, theme.wanted(known.appearance))
    window = Workbench(known)
    crash.guard(window)
    QGuiApplication.styleHints().colorSchemeChanged.connect(window.dress)
    if known.maximised:
        window.showMaximized()
    else:
        window.show()
    _AfterFirstPaint(window, file)
    code = app.exec()
    crash.release()
    return code


def photograph(file: str | None, picture: Path) -> int:
    """Write a picture of the window's Speed page without a display."""
    import os

    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    app = prepared_application()
    theme.apply(app, theme.LIGHT)
    window = Workbench(settings.Settings())
    window.make_pages()
    fill(window, file)
    window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    window.show()
    app.processEvents()
    window.speed_page.refresh()
    app.processEvents()
    written = window.grab().save(str(picture))
    print(f"Picture of the Speed page: {picture}" if written else f"No picture could be written: {picture}")
    return 0 if written else 2


def prepared_application() -> QApplication:
    """The one application object, with our fonts and style."""
    existing = QApplication.instance()
    app = existing if isinstance(existing, QApplication) else QApplication(sys.argv[:1])
    app.setApplicationName("gearplan")
    app.setApplicationDisplayName("Gearplan")
    app.setApplicationVersion(__version__)
    app.setDesktopFileName("gearplan")
    app.setStyle("Fusion")
    theme.load_fonts()
    return app


def fill(window: Workbench, file: str | None) -> None:
    """Put the bike of a file into the window; a file that cannot be read leaves a demo bike and a message."""
    window.start_with(demo_bike(), None)
    if file is not None:
        window.open(Path(file))
    window.offer_rescue()


class _AfterFirstPaint(QObject):
    """Makes the pages once the empty window has been painted."""

    def __init__(self, window: Workbench, file: str | None) -> None:
        super().__init__(window)
        self._window, self._file = window, file
        self._begun = False
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Wait for the first paint of the window."""
        if not self._begun and event.type() in (QEvent.Type.Paint, QEvent.Type.UpdateRequest):
            self._begun = True
            QTimer.singleShot(0, self._begin)
        return super().eventFilter(watched, event)

    def _begin(self) -> None:
        self._window.removeEventFilter(self)
        self._window.make_pages()
        fill(self._window, self._file)
