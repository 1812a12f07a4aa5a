"""Finds text that is cut off: what every visible widget needs, against what of it can be seen or scrolled to."""

from __future__ import annotations

from collections.abc import Iterator

import pyqtgraph as pg
from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QListView,
    QPushButton,
    QScrollBar,
    QStyle,
    QStyleOptionComboBox,
    QStyleOptionFrame,
    QStyleOptionViewItem,
    QTabBar,
    QTableView,
    QWidget,
)

from gearplan.window.kit import theme
from gearplan.window.kit.controls.numberfield import LONGEST, NumberField

#: Rounding of the layout, in pixels.
_SLACK = 1
#: A line of free text shows at least so many letters of it.
_LETTERS = 8


def cut(window: QWidget) -> list[str]:
    """Every text in a window that is cut off, told with its place; empty where all can be read."""
    found = []
    for widget in _in_sight(window):
        if widget.window() is window:
            found += [f"{_place(widget)}: {what}" for what in _cut_in(widget)]
    return list(dict.fromkeys(found + list(_overlapping(window))))


def _in_sight(parent: QWidget) -> Iterator[QWidget]:
    """Every visible widget below one; most lie on pages that are hidden, and are not gone through."""
    for child in parent.children():
        if isinstance(child, QWidget) and child.isVisible():
            yield child
            yield from _in_sight(child)


def _cut_in(widget: QWidget) -> Iterator[str]:
    if isinstance(widget, QLabel):
        yield from _label(widget)
    elif isinstance(widget, QTabBar):
        yield from _tabs(widget)
    elif isinstance(widget, QHeaderView):
        yield from _heads(widget)
    elif isinstance(widget, QAbstractButton):
        yield from _button(widget)
    elif isinstance(widget, QComboBox):
        yield from _combo(widget)
    elif isinstance(widget, QLineEdit):
        yield from _line(widget)
    elif isinstance(widget, QTableView | QListView):
        yield from _cells(widget)
    elif isinstance(widget, pg.PlotWidget):
        yield from _chart(widget)
    elif hasattr(widget, "unseen"):
        # What paints its own text knows itself what of it has no room.
        yield from (f"“{text}” is painted without room" for text in widget.unseen())
        yield from _hidden(widget, widget.rect(), "a painted widget")


def _label(label: QLabel) -> Iterator[str]:
    text = label.text()
    if not text:
        return
    if label.wordWrap():
        room = label.contentsRect().width()
        longest = max(text.split(), key=label.fontMetrics().horizontalAdvance, default="")
        if (
            label.textFormat() != Qt.TextFormat.RichText
            and label.fontMetrics().horizontalAdvance(longest) > room + _SLACK
        ):
            yield f"“{longest}” is wider than its {room} px"
        needs = QSize(0, label.heightForWidth(label.width()))
    else:
        needs = label.sizeHint()
    if needs.width() > label.width() + _SLACK or needs.height() > label.height() + _SLACK:
        yield f"“{text}” needs {needs.width()} × {needs.height()} px, has {label.width()} × {label.height()}"
    yield from _hidden(label, label.rect(), text)
    yield from _lines(label)


def _lines(label: QLabel) -> Iterator[str]:
    """Whether words that scroll by themselves show a part of a line, or fewer than two."""
    room = label.parentWidget()
    if not isinstance(room, QWidget) or not isinstance(room.parentWidget(), QAbstractScrollArea):
        return
    line, high = label.fontMetrics().lineSpacing(), room.height()
    if label.heightForWidth(label.width()) <= high:
        return
    if high < 2 * line or high % line or label.y() % line:
        yield f"{high} px, scrolled by {-label.y()}, show a part of a line of {line} px: “{label.text()}”"


def _button(button: QAbstractButton) -> Iterator[str]:
    if not button.text():
        return
    needs = button.sizeHint()
    if isinstance(button, QPushButton):
        # The style leaves air beside the words, which may go.
        words = button.fontMetrics().size(Qt.TextFlag.TextShowMnemonic, button.text())
        needs = QSize(words.width() + 6, words.height())
    if needs.width() > button.width() + _SLACK or needs.height() > button.height() + _SLACK:
        yield f"“{button.text()}” needs {needs.width()} × {needs.height()} px, has {button.width()} × {button.height()}"
    yield from _hidden(button, button.rect(), button.text())


def _tabs(bar: QTabBar) -> Iterator[str]:
    for index in range(bar.count()):
        if not bar.isTabVisible(index):
            continue
        words = bar.fontMetrics().size(Qt.TextFlag.TextShowMnemonic, bar.tabText(index)).width()
        if bar.isTabVisible(index) and words > bar.tabRect(index).width() - 8:
            yield f"tab “{bar.tabText(index)}” needs {words} px, has {bar.tabRect(index).width()}"
    if not bar.usesScrollButtons():
        yield from _hidden(bar, bar.rect(), "tabs")


def _combo(box: QComboBox) -> Iterator[str]:
    option = QStyleOptionComboBox()
    box.initStyleOption(option)
    field = box.style().subControlRect(
        QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, box
    )
    needs = box.fontMetrics().horizontalAdvance(box.currentText())
    if needs > field.width() + _SLACK or box.fontMetrics().height() > box.height():
        yield f"“{box.currentText()}” needs {needs} px, has {field.width()}"
    yield from _hidden(box, box.rect(), box.currentText())


def _line(line: QLineEdit) -> Iterator[str]:
    option = QStyleOptionFrame()
    line.initStyleOption(option)
    field = line.style().subElementRect(QStyle.SubElement.SE_LineEditContents, option, line)
    # Qt keeps two pixels on either side of the text.
    room, metrics = field.width() - 4, line.fontMetrics()
    shown = line.text() or line.placeholderText()
    needs = metrics.horizontalAdvance(shown[:LONGEST] if isinstance(line, NumberField) else shown)
    if len(shown) > LONGEST and isinstance(line, NumberField) and not line.hasFocus() and line.cursorPosition() > 0:
        yield f"field “{shown}” does not begin with its first figure"
    if line.text() and not isinstance(line, NumberField):
        # A long line of words scrolls under the cursor.
        needs = min(needs, metrics.horizontalAdvance("n" * _LETTERS))
    if needs > room + _SLACK or metrics.height() > line.height():
        yield f"field “{shown}” needs {needs} px, has {room}"
    yield from _hidden(line, line.rect(), shown or line.accessibleName() or "a field")


def _heads(header: QHeaderView) -> Iterator[str]:
    if header.model() is None:
        return
    across = header.orientation() == Qt.Orientation.Horizontal
    for section in range(header.count()):
        words = header.model().headerData(section, header.orientation(), Qt.ItemDataRole.DisplayRole)
        if not words or header.isSectionHidden(section):
            continue
        metrics = theme.metrics(theme.SMALL)
        lines = str(words).split("\n")
        wide, high = max(map(metrics.horizontalAdvance, lines)) + 8, len(lines) * metrics.lineSpacing()
        size = QSize(header.sectionSize(section), header.height())
        if not across:
            size = QSize(header.width(), header.sectionSize(section))
        if wide > size.width() or high > size.height():
            yield f"head “{words}” needs {wide} × {high} px, has {size.width()} × {size.height()}"
    if hasattr(header, "unseen"):
        yield from (f"title “{text}” is painted without room" for text in header.unseen())


def _cells(view: QTableView | QListView) -> Iterator[str]:
    model, room = view.model(), view.viewport().rect()
    if model is None:
        return
    for row in range(model.rowCount()):
        for column in range(model.columnCount() if isinstance(view, QTableView) else 1):
            index = model.index(row, column)
            box = view.visualRect(index)
            if box.isEmpty() or not box.intersects(room):
                continue
            option = QStyleOptionViewItem()
            view.initViewItemOption(option)
            option.rect = box
            needs = view.itemDelegateForIndex(index).sizeHint(option, index)
            hint = index.data(Qt.ItemDataRole.SizeHintRole)
            if isinstance(hint, QSize):
                # A row of fixed height must still hold its words.
                words = str(index.data() or "")
                needs = QSize(QFontMetrics(option.font).horizontalAdvance(words), QFontMetrics(option.font).height())
            if needs.width() > box.width() + _SLACK or needs.height() > box.height() + _SLACK:
                yield (
                    f"cell {row}, {column} “{index.data()}” needs {needs.width()} × {needs.height()} px, "
                    f"has {box.width()} × {box.height()}"
                )
            if (
                isinstance(view, QListView)
                and not _scrolls(view, Qt.Orientation.Horizontal)
                and box.right() > room.right() + _SLACK
            ):
                yield f"cell {row} “{index.data()}” lies outside, and nothing scrolls there"
            if not _scrolls(view, Qt.Orientation.Vertical) and box.bottom() > room.bottom() + _SLACK:
                yield f"cell {row}, {column} “{index.data()}” lies below, and nothing scrolls there"
    if isinstance(view, QTableView) and model.columnCount():
        yield from _sideways(view)
    if room.height() < min(QFontMetrics(view.font()).height(), 12):
        yield "no row of the table can be seen"
    yield from _hidden(view, view.rect(), "a table")


def _sideways(table: QTableView) -> Iterator[str]:
    """Whether columns beyond the edge have no scroll bar that can be seen together with the heads."""
    last = table.model().columnCount() - 1
    ends = table.columnViewportPosition(last) + table.columnWidth(last)
    if ends + table.horizontalScrollBar().value() <= table.viewport().width() + _SLACK:
        return
    bars = [
        bar
        for bar in table.findChildren(QScrollBar)
        if bar.isVisible() and bar.orientation() == Qt.Orientation.Horizontal and bar.maximum() > bar.minimum()
    ]
    if not bars:
        yield f"the table is {ends} px wide, has {table.viewport().width()}, and no scroll bar"
        return
    below = min(bar.mapTo(table, bar.rect().bottomLeft()).y() for bar in bars)
    place: QWidget | None = table.parentWidget()
    while place is not None:
        if isinstance(place, QAbstractScrollArea) and below > place.viewport().height():
            yield f"the scroll bar is {below} px below the heads, out of the {place.viewport().height()} px in sight"
            return
        place = place.parentWidget()


def _chart(chart: pg.PlotWidget) -> Iterator[str]:
    # What has scrolled out of sight was perhaps never painted: its names have no place yet.
    chart.grab()
    plot, all_of_it = chart.getPlotItem(), chart.rect()
    for name in ("left", "bottom"):
        axis = plot.getAxis(name)
        if not axis.isVisible():
            continue
        label = axis.label
        if label.isVisible() and label.toPlainText():
            yield from _outside(chart, label, label.toPlainText(), all_of_it)
        for words, box in _ticks(axis):
            shown = chart.mapFromScene(axis.mapToScene(box)).boundingRect()
            if not all_of_it.adjusted(-_SLACK, -_SLACK, _SLACK, _SLACK).contains(shown):
                yield f"tick “{words}” at {shown} is outside"
    inside = chart.mapFromScene(plot.vb.sceneBoundingRect()).boundingRect()
    for item in chart.scene().items():
        if isinstance(item, pg.TextItem) and item.isVisible() and item.toPlainText():
            yield from _outside(chart, item.textItem, item.toPlainText(), inside)
    yield from _hidden(chart, chart.rect(), chart.accessibleName() or "a chart")


def _outside(chart: pg.PlotWidget, item: object, words: str, room: QRect) -> Iterator[str]:
    shown = chart.mapFromScene(item.sceneBoundingRect()).boundingRect()  # type: ignore[attr-defined]
    # A text item has an empty margin of 4 px, and pyqtgraph lets it stick out by one or two more.
    if not room.adjusted(-6, -6, 6, 6).contains(shown):
        yield f"“{words}” at {shown.getRect()} is cut at the edge {room.getRect()}"


def _ticks(axis: pg.AxisItem) -> list[tuple[str, object]]:
    from PySide6.QtGui import QImage, QPainter

    image = QImage(1, 1, QImage.Format.Format_ARGB32)
    painter = QPainter(image)
    if axis.style["tickFont"]:
        painter.setFont(axis.style["tickFont"])
    specs = axis.generateDrawSpecs(painter)
    painter.end()
    return [] if specs is None else [(words, box) for box, _flags, words in specs[2] if words]


def _hidden(widget: QWidget, rect: QRect, text: str) -> Iterator[str]:
    """Whether a parent that does not scroll cuts a part of a widget away."""
    at = QRect(rect)
    child: QWidget = widget
    parent: QWidget | None = widget.parentWidget()
    across = down = True
    while parent is not None and (across or down):
        at.translate(child.pos())
        room = parent.rect()
        scroll = parent.parentWidget()
        if isinstance(scroll, QAbstractScrollArea) and scroll.viewport() is parent:
            across = across and not _scrolls(scroll, Qt.Orientation.Horizontal)
            down = down and not _scrolls(scroll, Qt.Orientation.Vertical)
            if not across and not down:
                return
        if across and (at.left() < -_SLACK or at.right() > room.right() + _SLACK):
            yield f"“{text}” lies {at.left()} to {at.right()} of {room.width()} px across {_place(parent)}"
            return
        if down and (at.top() < -_SLACK or at.bottom() > room.bottom() + _SLACK):
            yield f"“{text}” lies {at.top()} to {at.bottom()} of {room.height()} px down {_place(parent)}"
            return
        if parent.isWindow():
            return
        child, parent = parent, parent.parentWidget()


def _scrolls(area: QAbstractScrollArea, way: Qt.Orientation) -> bool:
    across = way == Qt.Orientation.Horizontal
    policy = area.horizontalScrollBarPolicy() if across else area.verticalScrollBarPolicy()
    return policy != Qt.ScrollBarPolicy.ScrollBarAlwaysOff


def _overlapping(window: QWidget) -> Iterator[str]:
    """Neighbours in a layout that lie over one another because the room was too small for both."""
    for parent in (window, *_in_sight(window)):
        if parent.layout() is None:
            continue
        shown = [
            w
            for w in parent.children()
            if isinstance(w, QWidget) and w.isVisible() and not w.isWindow() and not w.property("overlay")
        ]
        for place, one in enumerate(shown):
            for other in shown[place + 1 :]:
                over = one.geometry().intersected(other.geometry())
                if over.width() > 2 and over.height() > 2:
                    yield f"{_place(one)} lies over {_place(other)} by {over.width()} × {over.height()} px"


def _place(widget: QWidget) -> str:
    names: list[str] = []
    at: QWidget | None = widget
    while at is not None and not at.isWindow() and len(names) < 3:
        said = at.objectName() or at.accessibleName()
        if type(at).__name__ not in ("QWidget", "QSplitter", "QStackedWidget", "QFrame"):
            names.append(type(at).__name__ + (f" {said}" if said and not said.startswith("qt_") else ""))
        at = at.parentWidget()
    return " in ".join(names)
