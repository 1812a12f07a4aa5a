"""What of a window's look a rule can judge: heights of controls, type, borders, boxes over curves, room left empty.

`python -m tests.window.lookrules` goes through all pages in four sizes, light and dark, and prints what breaks a rule
and how much of each pane is empty. That takes a minute; the suite looks at each page once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pyqtgraph as pg
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QBrush, QImage, QPen
from PySide6.QtWidgets import (
    QAbstractButton,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QPushButton,
    QTableView,
    QTabWidget,
    QWidget,
)

from gearplan.window.frame.pagehost import PAGES
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.controls.tickbox import is_for_touch
from gearplan.window.kit.places.twosides import TwoSides
from tests.window.clipping import cut
from tests.window.contrast import contrast

SIZES = ((1280, 800), (1920, 1080), (2560, 1440), (960, 600))
#: A pane is looked at in squares of so many pixels; one without any mark is empty.
_SQUARE = 64
#: Rounding of a layout, in pixels.
_SLACK = 1


def broken(window: Workbench) -> list[str]:
    """What breaks a rule on the page in sight, told with its place."""
    shown = [widget for widget in window.findChildren(QWidget) if widget.isVisible() and widget.window() is window]
    found = [*cut(window), *_heights(shown), *_type(shown), *_boxes(shown), *_accents(shown)]
    return [f"{window.in_sight}: {what}" for what in found]


def _heights(shown: list[QWidget]) -> Iterator[str]:
    for widget in shown:
        if not isinstance(widget, QLineEdit | QComboBox | QPushButton) or _is_inside_another(widget):
            continue
        if widget.property("slim") or widget.property("figure"):
            continue
        wanted = theme.px(theme.BENCH if widget.property("bench") or is_for_touch(widget) else theme.CONTROL)
        if abs(widget.height() - wanted) > _SLACK:
            yield f"{_named(widget)} is {widget.height()} px high, not {wanted}"


def _is_inside_another(widget: QWidget) -> bool:
    place = widget.parentWidget()
    while place is not None:
        if isinstance(place, QComboBox | QTableView):
            return True
        place = place.parentWidget()
    return False


def _type(shown: list[QWidget]) -> Iterator[str]:
    for widget in shown:
        if isinstance(widget, QLabel | QAbstractButton | QLineEdit) and widget.text():
            high = widget.font().pixelSize() if widget.font().pixelSize() > 0 else widget.fontInfo().pixelSize()
            if high < theme.px(theme.SMALL):
                yield f"{_named(widget)} is written in {high} px"


def _accents(shown: list[QWidget]) -> Iterator[str]:
    """One thing to do stands out on a page, or none."""
    accents = [one for one in shown if isinstance(one, QPushButton) and one.property("primary")]
    if len(accents) > 1:
        yield f"{' and '.join(map(_named, accents))} stand out both"


def _boxes(shown: list[QWidget]) -> Iterator[str]:
    for chart in shown:
        if isinstance(chart, pg.PlotWidget):
            for item in chart.scene().items():
                if isinstance(item, pg.TextItem) and item.isVisible() and item.fill.style() != Qt.BrushStyle.NoBrush:
                    yield f"“{item.toPlainText()}” hides what lies behind it"


def faint(window: Workbench) -> list[str]:
    """What is to be pressed or read as a mark and has less than 3:1 on its ground, by the pixels at a control's left
    edge and by the inks of the charts (WCAG 2.2, 1.4.11)."""
    shown = [one for one in window.findChildren(QWidget) if one.isVisible() and one.window() is window]
    picture = window.grab().toImage()
    return [f"{window.in_sight}: {what}" for what in (*_faint_edges(window, shown, picture), *_faint_inks(shown))]


def _faint_edges(window: Workbench, shown: list[QWidget], picture: QImage) -> Iterator[str]:
    for widget in shown:
        edged = isinstance(widget, QLineEdit | QComboBox | QPushButton | QPlainTextEdit)
        if not edged or not widget.isEnabled() or widget.property("figure") or _is_inside_another(widget):
            continue
        at = widget.mapTo(window, QPoint(0, widget.height() // 2))
        if widget.visibleRegion().boundingRect().height() < widget.height() or at.x() < 2:
            continue
        ground, *edge = (picture.pixelColor(at.x() + x, at.y()).name() for x in (-2, 0, 1, 2))
        if max(contrast(colour, ground) for colour in edge) < 3:
            yield f"the edge of {_named(widget)} is faint"


def _faint_inks(shown: list[QWidget]) -> Iterator[str]:
    ground = theme.current().surface
    for chart in shown:
        if not isinstance(chart, pg.PlotWidget):
            continue
        for name, item in vars(chart).items():
            # The grid only leads the eye to the axes.
            if isinstance(item, pg.GraphicsObject) and name != "_grid" and item.isVisible():
                inks = [pg.mkColor(ink.color()).name() for ink in _inks(item) if ink.style() != Qt.PenStyle.NoPen]
                if inks and max(contrast(ink, ground) for ink in inks) < 3:
                    yield f"{name} of {type(chart).__name__} is drawn in {inks}"


def _inks(item: pg.GraphicsObject) -> list[QPen | QBrush]:
    if isinstance(item, pg.InfiniteLine | pg.TargetItem):
        return [item.pen]
    if isinstance(item, pg.PlotCurveItem):
        return [pg.mkPen(item.opts["pen"])]
    if isinstance(item, pg.ScatterPlotItem | pg.BarGraphItem):
        return [pg.mkPen(item.opts["pen"]), pg.mkBrush(item.opts["brush"])]
    return [pg.mkPen(item.color)] if isinstance(item, pg.TextItem) else []


def _named(widget: QWidget) -> str:
    words = widget.text() if isinstance(widget, QAbstractButton | QLabel | QLineEdit) else ""
    return f"{type(widget).__name__} “{words or widget.accessibleName() or widget.objectName()}”"


def seam(window: Workbench) -> int | None:
    """Where the border between the sides of the page in sight stands; None where there is none side by side."""
    sides = window.page(window.in_sight).findChild(TwoSides)
    if sides is None or sides.split.orientation() != Qt.Orientation.Horizontal or not all(sides.split.sizes()):
        return None
    place: QPoint = sides.split.mapTo(window, QPoint(sides.split.sizes()[0], 0))
    return place.x()


def panes(window: Workbench) -> list[QWidget]:
    """The sides of the page in sight, or the page."""
    page: QWidget = window.page(window.in_sight)
    sides = page.findChild(TwoSides)
    if sides is None:
        return [page]
    return [side for place in (0, 1) if (side := sides.split.widget(place)) is not None]


def tabs_in_turn(window: Workbench) -> Iterator[str]:
    """Turn to each tab in sight that can be turned to; the name of each while it is open, "" on a page without."""
    bars = [one for one in window.page(window.in_sight).findChildren(QTabWidget) if one.isVisible()]
    if not bars:
        yield ""
    for bar in bars:
        for at in range(bar.count()):
            if bar.isTabVisible(at) and bar.isTabEnabled(at):
                bar.setCurrentIndex(at)
                turn_to(window, window.in_sight)
                yield bar.tabText(at)


def empty_share(pane: QWidget) -> float:
    """Which share of a pane's squares bears no mark."""
    picture = pane.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    side = round(_SQUARE * picture.devicePixelRatio())
    count = empty = 0
    for left in range(0, picture.width() - side + 1, side):
        for top in range(0, picture.height() - side + 1, side):
            count += 1
            empty += _is_plain(picture, left, top, side)
    return empty / max(count, 1)


def _is_plain(picture: QImage, left: int, top: int, side: int) -> bool:
    first = picture.pixel(left, top)
    return all(picture.pixel(x, y) == first for x in range(left, left + side, 3) for y in range(top, top + side, 3))


def turn_to(window: Workbench, name: str) -> None:
    """Show a page and let its layout come to rest."""
    window.show_page(name)
    for _ in range(12):
        QApplication.processEvents()


def _report() -> None:
    from gearplan.bike.demo import demo_bike
    from gearplan.window.frame import settings
    from gearplan.window.frame.application import prepared_application

    app = prepared_application()
    window = Workbench(settings.Settings())
    window.make_pages()
    window.files.start_with(demo_bike(), None)
    window.show()
    window.document.propose(replace(window.document.chosen, front=16, rear=43), "p")
    for look in (theme.LIGHT, theme.DARK):
        theme.apply(app, look)
        for size in SIZES:
            window.resize(*size)
            seams: dict[str, int | None] = {}
            for name in PAGES:
                turn_to(window, name)
                for what in (*broken(window), *faint(window)):
                    print(size, "dark" if look.dark else "light", what)
                seams[name] = seam(window)
                shares = ", ".join(f"{empty_share(pane):.0%}" for pane in panes(window))
                print(size, "dark" if look.dark else "light", f"{name}: empty {shares}")
            if len({at for at in seams.values() if at is not None}) > 1:
                print(size, "the border jumps:", seams)


if __name__ == "__main__":
    _report()
