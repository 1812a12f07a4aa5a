"""The customer's sentences and pictures, as large as the place allows: to be read from two metres."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.plan.customer.page import Customer
from gearplan.plan.words import set_name
from gearplan.sheet.customer.pictures import fitting_size, paint_picture
from gearplan.sheet.drawing import largest_size, line_height, wrapped
from gearplan.window.kit import theme

_LARGEST, _SMALLEST = 46, 11
_LEAST = QSize(420, 280)
_GAP = 2.0 * theme.UNIT
#: The pictures' part of the height, and the most of the width that they are high.
_PICTURES, _PICTURES_WIDE = 0.40, 0.34


class CustomerView(QWidget):
    """Paints one `Customer`; fitted quiet and dashed, proposed solid."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._content: Customer | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def sizeHint(self) -> QSize:
        """As small as can be: the page gives what is left."""
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        """The pictures side by side."""
        return QSize(theme.px(_LEAST.width()), theme.px(_LEAST.height()))

    def heightForWidth(self, width: int) -> int:
        """The sentences in the smallest type and the pictures below them."""
        least = theme.px(_LEAST.height())
        if self._content is None:
            return least
        across = max(width - 2 * _GAP, 1.0)
        above = self._height(self._told(self._content), theme.px(_SMALLEST), across) + 3 * _GAP
        return max(least, math.ceil(min(above / (1 - _PICTURES), above + _PICTURES_WIDE * across)) + 2)

    def unseen(self) -> list[str]:
        """The sentences that have no room even in the smallest type."""
        if self._content is None:
            return []
        told, box = self._told(self._content), self._upper_box()
        high = self._height(told, theme.px(_SMALLEST), box.width())
        return told if high > box.height() + 1 else []

    def show_content(self, content: Customer) -> None:
        """Show another page."""
        if content == self._content:
            return
        before, self._content = self.heightForWidth(self.width()), content
        if self.heightForWidth(self.width()) != before:
            self.updateGeometry()
        self.setAccessibleName(" ".join(sentence.text for sentence in content.sentences))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw names, sentences and pictures."""
        if self._content is None:
            return
        now, content = theme.current(), self._content
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(now.surface))
        box, pictures, gap = self._box(), self._high(), _GAP
        self._upper(painter, content, self._upper_box())
        wide = (box.width() - 2 * gap) / 3
        small = max(round(min(wide / 24, pictures / 15)), _SMALLEST)
        for place, picture in enumerate(content.pictures):
            here = QRectF(box.left() + place * (wide + gap), box.bottom() - pictures, wide, pictures)
            paint_picture(painter, picture, now, here, small)
        painter.end()

    def _box(self) -> QRectF:
        return QRectF(self.rect()).adjusted(_GAP, _GAP, -_GAP, -_GAP)

    def _high(self) -> float:
        """The height of the pictures."""
        return min(_PICTURES * self._box().height(), _PICTURES_WIDE * self._box().width())

    def _upper_box(self) -> QRectF:
        return self._box().adjusted(0, 0, 0, -self._high() - _GAP)

    @staticmethod
    def _told(content: Customer) -> list[str]:
        told = [sentence.text for sentence in content.sentences]
        return told + [f"Missing: {words}" for words in content.lacking]

    def _upper(self, painter: QPainter, content: Customer, box: QRectF) -> None:
        """The motorcycle, both sets and the sentences, as large as they fit."""
        told = self._told(content)
        sizes = range(theme.px(_SMALLEST), max(theme.px(_SMALLEST), _LARGEST) + 1)
        size = largest_size(sizes, lambda one: self._height(told, one, box.width()) <= box.height())
        now, y = theme.current(), box.top()
        head = round(1.1 * size)
        # The larger the type the shorter the line that is kept for the sets.
        shown = fitting_size(content.bike, head, 0.42 * box.width(), bold=True)
        painter.setFont(theme.exact_font(shown, bold=True))
        painter.setPen(QColor(now.text))
        line = QRectF(box.left(), y, 0.44 * box.width(), 1.5 * head)
        painter.drawText(line, Qt.AlignmentFlag.AlignVCenter, content.bike)
        self._sets(painter, content, QRectF(line.right(), y, box.right() - line.right(), 1.5 * head), size)
        y += 1.5 * head + 0.4 * size
        painter.setFont(theme.exact_font(size))
        painter.setPen(QColor(now.text))
        high = line_height(size)
        for words in told:
            for line_of in wrapped(words, size, box.width()):
                painter.drawText(QRectF(box.left(), y, box.width(), high), Qt.AlignmentFlag.AlignVCenter, line_of)
                y += high
            y += 0.35 * size

    def _sets(self, painter: QPainter, content: Customer, box: QRectF, size: int) -> None:
        """Fitted above proposed at the right of the name, each with its line sample."""
        now, half, sample = theme.current(), box.height() / 2, 3.0 * theme.UNIT
        for row, (words, dashed) in enumerate(
            ((f"now {set_name(content.fitted)}", True), (f"then {set_name(content.proposed)}", False))
        ):
            shown = fitting_size(words, round(0.62 * size), box.width() - 2 * sample, bold=not dashed)
            y = box.top() + half * row
            pen = QPen(QColor(now.quiet if dashed else now.accent), 1.6 if dashed else 3.0)
            if dashed:
                pen.setDashPattern([4, 3])
            painter.setPen(pen)
            painter.drawLine(QPointF(box.left(), y + half / 2), QPointF(box.left() + sample, y + half / 2))
            painter.setFont(theme.exact_font(shown, bold=not dashed))
            painter.setPen(QColor(now.quiet if dashed else now.text))
            place = QRectF(box.left() + 1.4 * sample, y, box.width() - 1.4 * sample, half)
            painter.drawText(place, Qt.AlignmentFlag.AlignVCenter, words)

    def _height(self, told: list[str], size: int, width: float) -> float:
        words = sum(len(wrapped(text, size, width)) * line_height(size) + 0.35 * size for text in told)
        return words + 1.65 * size + 0.4 * size
