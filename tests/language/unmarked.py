"""Finds texts that no translator is asked for: `python -m tests.language.unmarked [PAGE…]`, in the pseudo-language.

Each page is shown, with its menus, tables, charts and what assistive technology is told, and whatever stands there in
letters outside ⟦…⟧ is printed by page. A name that somebody typed, a unit, a file's name are none.
"""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

if __name__ == "__main__":
    os.environ["LANGUAGE"] = "qps"
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pyqtgraph as pg
from PySide6.QtCore import QAbstractItemModel, QAbstractListModel, QModelIndex, Qt
from PySide6.QtGui import QAction, QPainter
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QGraphicsItem,
    QGraphicsSimpleTextItem,
    QGraphicsTextItem,
    QGraphicsView,
    QGroupBox,
    QLabel,
    QLineEdit,
    QTabBar,
    QWidget,
)

if TYPE_CHECKING:
    from gearplan.window.frame.workbench import Workbench

#: Words that are the same in every language: units, signs, standards, formats; and Qt's own, which no catalogue of a
#: language that is none has.
_SAME = """Scroll Left Right
    km mm cm kg kW PS hp mph min Nm lbf ft yd lb psi bar hPa kPa inHg MPa deg CSV XLSX ODS PDF PNG SVG
    JSON GPX TOML Letter ISO Lato DIN ETRTO UN SAE JCGM Gearplan toml bike circuit stock csv pdf png svg xlsx ods Ctrl
    Shift Alt Enter Esc Del Tab Home End PgUp PgDown Return Ins Space EUR USD GBP CHF"""
SAME = frozenset(_SAME.split())
_MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
#: As the pseudo-language writes: a text that is drawn in lines has its marks on others.
_DOUBLED = re.compile(r"(?:[^aeiou]|aa|ee|ii|oo|uu)+")
_WORD = re.compile(r"[^\W\d_]{3,}")


def unmarked(text: str, names: Iterable[str] = ()) -> str:
    """What of a text stands outside the marks and is a word of no name; empty for nothing."""
    for name in sorted(names, key=len, reverse=True):
        text = text.replace(name, "")
    while (less := _MARKED.sub("", text)) != text:
        text = less
    text = re.sub(r"<[^>]*>|&(?=\w)|(?<=\w)'s\b", "", text)
    return " ".join(word for word in _WORD.findall(text) if word not in SAME and not _DOUBLED.fullmatch(word))


def told(widget: QWidget) -> Iterator[str]:
    """Every text of a widget itself, shown or told."""
    yield from (widget.toolTip(), widget.accessibleName(), widget.accessibleDescription(), widget.statusTip())
    if isinstance(widget, QLabel | QAbstractButton):
        yield widget.text()
    if isinstance(widget, QLineEdit):
        yield widget.placeholderText()
    if isinstance(widget, QGroupBox):
        yield widget.title()
    if isinstance(widget, QComboBox):
        yield from (widget.itemText(at) for at in range(widget.count()))
    if isinstance(widget, QTabBar):
        yield from (widget.tabText(at) for at in range(widget.count()))
    if isinstance(widget, QAbstractItemView) and widget.model() is not None:
        yield from _items(widget.model())
    if isinstance(widget, QGraphicsView) and widget.scene() is not None:
        for item in widget.scene().items():
            yield from _drawn(item)
    yield from (text for action in widget.actions() for text in _of(action))


def _of(action: QAction) -> Iterator[str]:
    yield from (action.text(), action.toolTip(), action.statusTip())


def _items(model: QAbstractItemModel) -> Iterator[str]:
    columns = 1 if isinstance(model, QAbstractListModel) else model.columnCount()
    for column in range(columns):
        yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")
    for row in range(min(model.rowCount(), 30)):
        yield str(model.headerData(row, Qt.Orientation.Vertical) or "")
        for column in range(columns):
            at = model.index(row, column, QModelIndex())
            yield from (str(at.data(role) or "") for role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole))


def _drawn(item: QGraphicsItem) -> Iterator[str]:
    if isinstance(item, QGraphicsTextItem):
        yield item.toPlainText()
    elif isinstance(item, QGraphicsSimpleTextItem):
        yield item.text()
    elif isinstance(item, pg.TextItem):
        yield item.toPlainText()
    elif isinstance(item, pg.AxisItem):
        yield item.labelText


class Watched:
    """While it lasts, every text that is drawn is kept."""

    def __init__(self) -> None:
        self.texts: list[str] = []

    def __enter__(self) -> Watched:
        self._before = QPainter.drawText
        kept, before = self.texts, self._before

        def noticed(painter: QPainter, *given: object) -> object:
            kept.extend(part for part in given if isinstance(part, str))
            return before(painter, *given)  # type: ignore[call-overload]

        QPainter.drawText = noticed  # type: ignore[assignment,method-assign]
        return self

    def __exit__(self, *_: object) -> None:
        QPainter.drawText = self._before  # type: ignore[method-assign]


def everything(window: QWidget) -> Iterator[str]:
    """Every text of a window and of what is in sight in it, drawn ones too."""
    yield window.windowTitle()
    for widget in [window, *window.findChildren(QWidget)]:
        if widget.isVisibleTo(window) or isinstance(widget, QComboBox):
            yield from told(widget)
    with Watched() as watched:
        window.grab()
    yield from watched.texts


def _all_there_is(window: Workbench, app: QApplication) -> None:
    """A set that is proposed and kept, a circuit whose sets are ranked, and a ride that is read."""
    window.document.propose(replace(window.document.chosen, front=14), "propose")
    window.counter.keep_proposal()
    window.circuits.open_demo("Marlpit Lane")
    window.show_page("Circuit")
    ranker = window.circuit_page.ranker
    _until(app, lambda: ranker.ranking is not None)
    window.show_page("Ride log")
    ride = window.page("Ride log")
    ride.open_demo()
    _until(app, lambda: not ride.background.busy)


def _until(app: QApplication, done: Callable[[], bool]) -> None:
    while not done():
        app.processEvents()
        time.sleep(0.01)


def main(pages: list[str]) -> int:
    """Print what no page should show; returns the number of such texts, at most 1."""
    from gearplan.bike.demo import demo_bike
    from gearplan.bike.files.circuitfile import demo_circuit
    from gearplan.bike.library import demo_bikes, demo_circuits
    from gearplan.window.frame.application import prepared_application
    from gearplan.window.frame.settings import Settings
    from gearplan.window.frame.workbench import Workbench
    from gearplan.window.kit import theme
    from tests.window.pages import each_tab

    app: QApplication = prepared_application()
    theme.apply(app, theme.LIGHT)
    window = Workbench(Settings())
    window.make_pages()
    window.files.start_with(demo_bike(), None)
    window.resize(1920, 1080)
    window.show()
    _all_there_is(window, app)
    names = {word for name in (*demo_bikes(), *demo_circuits()) for word in name.split()}
    names |= {section.note for section in demo_circuit("Marlpit Lane").circuit.sections}
    found = 0
    seen: set[str] = set()
    for place in each_tab(window):
        app.processEvents()
        if pages and place.split(",")[0] not in pages:
            continue
        for text in everything(window):
            if text not in seen and (odd := unmarked(text, names)):
                seen.add(text)
                found += 1
                print(f"{place}: {odd!r} in {text[:160]!r}")
    print(f"{found} texts")
    # What is unsaved is not asked about.
    window.document.start(demo_bike(), None)
    window.circuits.may_leave = lambda: True  # type: ignore[method-assign]
    window.close()
    return min(found, 1)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
