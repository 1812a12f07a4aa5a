"""Starting and ending the window: application, theme, first paint, then the pages behind it."""

from __future__ import annotations

import sys
from pathlib import Path

from PySide6.QtCore import QLibraryInfo, QLocale, Qt, QTranslator
from PySide6.QtGui import QGuiApplication, QIcon
from PySide6.QtWidgets import QApplication

from gearplan import __version__
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import SUFFIX as CIRCUIT
from gearplan.bike.library import resource
from gearplan.language import spoken, tr
from gearplan.window.frame import settings
from gearplan.window.frame.firstpaint import FirstPaint
from gearplan.window.frame.opening import crash
from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.settings import gone
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.focusring import FocusRing


def run(file: str | None) -> int:
    """Show the window on a file, or on a demo bike; returns the exit code when it is closed."""
    app = prepared_application()
    # The guard holds it as long as it is there.
    shown_window(app, file, guarded=True)
    code = app.exec()
    crash.release()
    return code


def shown_window(app: QApplication, file: str | None, *, guarded: bool = False) -> Workbench:
    """The window on the screen; its pages follow after its first paint. `guarded` before it reads any file."""
    known = settings.load()
    theme.set_scale(known.text_size)
    theme.apply(app, theme.wanted(known.appearance))
    window = Workbench(known)
    if guarded:
        crash.guard(window)
    window.stand_where_it_stood()
    QGuiApplication.styleHints().colorSchemeChanged.connect(window.dress)
    fill(window, file)
    if file is None and known.page in PAGES:
        window.show_page(known.page)
    first = FirstPaint(window)
    first.painted.connect(window.fit_to_screen)
    first.painted.connect(window.make_pages)
    if known.maximised:
        window.showMaximized()
    else:
        window.show()
    return window


def photograph(file: str | None, picture: Path) -> int:
    """Write a picture of the window's Speed page without a display."""
    import os

    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    app = prepared_application()
    theme.apply(app, theme.LIGHT)
    window = Workbench(settings.Settings())
    fill(window, file)
    window.make_pages()
    window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    window.show()
    app.processEvents()
    window.speed_page.make_chart()
    app.processEvents()
    written = window.grab().save(str(picture))
    print(
        tr("Picture of the Speed page: {picture}", picture=picture)
        if written
        else tr("No picture could be written: {picture}", picture=picture)
    )
    return 0 if written else 2


def prepared_application() -> QApplication:
    """The one application object, with our fonts and style."""
    existing = QApplication.instance()
    if isinstance(existing, QApplication):
        return existing
    app = QApplication(sys.argv[:1])
    app.setApplicationName("gearplan")
    app.setApplicationDisplayName("Gearplan")
    app.setApplicationVersion(__version__)
    app.setDesktopFileName("gearplan")
    app.setWindowIcon(QIcon(str(resource("icons", "gearplan.svg"))))
    app.setStyle("Fusion")
    _speak_as_texts_do(app)
    theme.load_fonts()
    FocusRing(app)
    return app


def _speak_as_texts_do(app: QApplication) -> None:
    """What Qt itself says (on its dialogs' buttons, in the menus of a line of text) follows the spoken language."""
    if (language := spoken()) == "en":
        return
    QLocale.setDefault(QLocale(language))
    translator = QTranslator(app)
    folder = QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)
    # Where Qt's own catalogue is not carried, its words stay English; no less is told.
    if translator.load(f"qtbase_{language}", folder):
        app.installTranslator(translator)


def fill(window: Workbench, file: str | None) -> None:
    """Put what is in a file into the window, a bike or a circuit; one that cannot be read is told above a demo bike.

    Without a file the bike comes back that was open last.
    """
    window.files.start_with(demo_bike(), None)
    last = window.remembered.now.last_bike
    if file is None and last and not gone([last]):
        window.files.open(Path(last))
    if file is not None and file.endswith(CIRCUIT):
        if window.circuits.open(Path(file)):
            window.show_page("Circuit")
    elif file is not None:
        window.files.open(Path(file))
    window.files.offer_kept()
