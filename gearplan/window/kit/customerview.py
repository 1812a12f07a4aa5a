"""The customer's figures, pictures and cautions, to be read from two metres on the screen that they stand on."""

from __future__ import annotations

import math

from PySide6.QtCore import QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gearplan.plan.customer.page import Customer
from gearplan.sheet.customer.arranging import Arrangement, arranged, fewest, needed
from gearplan.sheet.customer.rows import Row
from gearplan.sheet.distance import readable
from gearplan.window.kit import theme

_METRES = 2.0
_LEAST = QSize(420, 280)
_GAP = 2.0 * theme.UNIT
#: More height than any page has.
_ANY_HEIGHT = 1e6


class CustomerView(QWidget):
    """Paints one `Customer`, or several sets as rows; fitted quiet and dashed, proposed solid."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._content: Customer | None = None
        self._rows: tuple[Row, ...] = ()
        #: What was arranged last, and for which box and least type.
        self._shown: Arrangement | None = None
        self._shown_in: tuple[QRectF, int] | None = None
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def sizeHint(self) -> QSize:
        """As small as can be: the page gives what is left."""
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        """Room for one figure."""
        return QSize(theme.px(_LEAST.width()), theme.px(_LEAST.height()))

    def heightForWidth(self, width: int) -> int:
        """What the fewest parts need in the least type."""
        least = theme.px(_LEAST.height())
        if self._content is None:
            return least
        across = max(width - 2 * _GAP, 1.0)
        high = needed(fewest(self._content, self._rows), self.least_type, across)
        return max(least, math.ceil(high + 2 * _GAP)) if high < _ANY_HEIGHT else least

    @property
    def least_type(self) -> int:
        """The least size of type that is read from two metres on this screen, in pixels."""
        screen = self.screen()
        return readable(_METRES, screen.geometry().width(), screen.physicalSize().width())

    @property
    def arrangement(self) -> Arrangement | None:
        """What is shown, in which size."""
        if self._content is None:
            return None
        box, least = self._box(), self.least_type
        if self._shown is None or self._shown_in != (box, least):
            self._shown = arranged(self._content, self._rows, least, box.width(), box.height())
            self._shown_in = box, least
        return self._shown

    def unseen(self) -> list[str]:
        """What has no room even where it is the fewest."""
        shown = self.arrangement
        return [] if shown is None or shown.fits or self._content is None else [self.accessibleName()]

    def show_content(self, content: Customer, rows: tuple[Row, ...] = ()) -> None:
        """Show another page; `rows` are the sets that are compared, none for the proposed one alone."""
        if (content, rows) == (self._content, self._rows):
            return
        before, self._content, self._rows, self._shown = self.heightForWidth(self.width()), content, rows, None
        if self.heightForWidth(self.width()) != before:
            self.updateGeometry()
        self.setAccessibleName(" ".join(sentence.text for sentence in content.sentences))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Draw what has room."""
        shown = self.arrangement
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(theme.current().surface))
        if shown is not None:
            shown.paint(painter, self._box(), theme.current())
        painter.end()

    def _box(self) -> QRectF:
        return QRectF(self.rect()).adjusted(_GAP, _GAP, -_GAP, -_GAP)
