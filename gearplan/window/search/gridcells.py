"""How a cell of the grid is painted: its ratio, its verdict's shape, and the frames of the fitted and proposed sets."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QPoint, QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from gearplan.plan.findings import Level
from gearplan.window.kit import theme
from gearplan.window.kit.shapes import paint_verdict
from gearplan.window.search.gridmodel import GridModel

_Index = QModelIndex | QPersistentModelIndex

#: The side of a verdict's shape in a cell, and how far the plate below it in the proposed cell reaches beyond it.
_SHAPE, _PLATE = 12, 2
#: The dashes of the fitted cell's frame, and the least gap between them.
_DASH, _GAP, _THICK = 6, 4, 2
#: Left and right of a cell's words, and above and below them.
_MARGIN, _AIR = 6, 6


def least_cell() -> QSize:
    """What a ratio and a verdict's shape need at least."""
    bold = theme.metrics(theme.BODY, bold=True)
    wide = bold.horizontalAdvance("0.000") + _SHAPE + _MARGIN // 2 + 2 * _MARGIN
    return QSize(wide, max(bold.height(), _SHAPE + 2 * _PLATE) + _AIR)


class GridDelegate(QStyledItemDelegate):
    """Paints the ratio, and the fit: plain where it fits, a triangle where it is to be checked, where not a cross on
    hatching."""

    def sizeHint(self, _option: QStyleOptionViewItem, index: _Index) -> QSize:
        """What the words of a cell need."""
        model = index.model()
        assert isinstance(model, GridModel)
        wide = theme.metrics(theme.BODY, bold=True).horizontalAdvance(model.cell(index.row(), index.column())[0])
        least = least_cell()
        return QSize(wide + _SHAPE + _MARGIN // 2 + 2 * _MARGIN, least.height())

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: _Index) -> None:
        """Draw one cell."""
        model = index.model()
        assert isinstance(model, GridModel)
        assert model.grid is not None
        row, column = index.row(), index.column()
        now, rect = theme.current(), option.rect
        is_chosen, is_on = (row, column) == model.chosen, (row, column) == model.on
        level = model.grid.levels[row][column]
        ink = now.quiet if level == "does not fit" else now.text
        if is_chosen:
            painter.fillRect(rect, QColor(now.accent))
            ink = now.on_accent
        elif level == "does not fit":
            painter.fillRect(rect, QBrush(QColor(now.line), Qt.BrushStyle.BDiagPattern))
        ratio, wide = model.cell(row, column)[0], rect.width() - 2 * _MARGIN
        painter.setFont(theme.font(theme.BODY, bold=is_chosen or is_on))
        painter.setPen(QColor(ink))
        words_box = QRect(rect.left() + _MARGIN, rect.top(), wide, rect.height())
        if level == "does not fit" and not is_chosen:
            # The hatching must not cross the figures.
            metrics = theme.metrics(theme.BODY, bold=is_on)
            plate = QRect(words_box.left() - 2, 0, metrics.horizontalAdvance(ratio) + 4, metrics.ascent() + 2)
            plate.moveCenter(QPoint(plate.center().x(), rect.center().y()))
            painter.fillRect(plate, QColor(now.surface))
        painter.drawText(words_box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, ratio)
        if model.near and model.near[row][column] and not is_chosen:
            metrics = theme.metrics(theme.BODY, bold=is_on)
            y = rect.center().y() + metrics.height() // 2
            painter.fillRect(words_box.left(), y, metrics.horizontalAdvance(ratio), 2, QColor(now.accent))
        if level == "check" or (is_chosen and level == "does not fit"):
            self._paint_shape(painter, level, rect, is_chosen)
        elif level == "does not fit":
            _paint_cross(painter, rect)
        if is_on:
            for dash in dashes(rect):
                painter.fillRect(dash, QColor(now.on_accent if is_chosen else now.text))
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(now.text), 2))
            painter.drawRect(rect.adjusted(1, 1, -2, -2))

    @staticmethod
    def _paint_shape(painter: QPainter, level: Level, rect: QRect, on_plate: bool) -> None:
        """A verdict's shape at the right, on the proposed cell on a plate of the paper's colour."""
        box = QRectF(rect.right() - _MARGIN - _SHAPE + 1, rect.center().y() - _SHAPE / 2, _SHAPE, _SHAPE)
        if on_plate:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(theme.current().surface))
            painter.drawRoundedRect(box.adjusted(-_PLATE, -_PLATE, _PLATE, _PLATE), 3, 3)
        paint_verdict(painter, level, box)
        painter.setBrush(Qt.BrushStyle.NoBrush)


def _paint_cross(painter: QPainter, rect: QRect) -> None:
    """A cross where the other cells have their shape, as quiet as the figure beside it."""
    middle, half = QPointF(rect.right() - _MARGIN - _SHAPE / 2 + 1, rect.center().y() + 0.5), _SHAPE / 2 - 2
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(theme.current().quiet), 1.6))
    for across in (half, -half):
        painter.drawLine(middle + QPointF(-across, -half), middle + QPointF(across, half))
    painter.restore()


def dashes(rect: QRect) -> list[QRect]:
    """A dashed frame just inside a cell: on every side whole dashes at even gaps, and one round each corner."""
    found = []
    for long, across in ((rect.width(), True), (rect.height(), False)):
        count = max(round((long - _DASH) / (_DASH + _GAP)), 1)
        for k in range(count + 1):
            at = round(k * (long - _DASH) / count)
            for far in (False, True):
                if across:
                    top = rect.bottom() + 1 - _THICK if far else rect.top()
                    found.append(QRect(rect.left() + at, top, _DASH, _THICK))
                else:
                    left = rect.right() + 1 - _THICK if far else rect.left()
                    found.append(QRect(left, rect.top() + at, _THICK, _DASH))
    return found
