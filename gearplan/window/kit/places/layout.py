"""How every page is laid out: cards, sizes that grow with the text, places that scroll, columns."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication, QEvent, QMargins, QObject, QSize, Qt
from PySide6.QtGui import QKeyEvent, QPalette, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QAbstractSlider,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QStyle,
    QVBoxLayout,
    QWidget,
)

from gearplan.language import tr
from gearplan.window.kit import theme

#: A form is no wider than this at the usual size of text.
FORM = 420
_WIDE, _HIGH, _LEAST_WIDE, _MOST_WIDE = "usual width", "usual height", "usual least width", "usual most width"
#: A place that scrolls is at least so high.
_LEAST_SCROLLED = 120
_ACTION = QAbstractSlider.SliderAction
_KEYS = {
    Qt.Key.Key_Up: _ACTION.SliderSingleStepSub,
    Qt.Key.Key_Down: _ACTION.SliderSingleStepAdd,
    Qt.Key.Key_PageUp: _ACTION.SliderPageStepSub,
    Qt.Key.Key_PageDown: _ACTION.SliderPageStepAdd,
    Qt.Key.Key_Home: _ACTION.SliderToMinimum,
    Qt.Key.Key_End: _ACTION.SliderToMaximum,
}


def card(margin: int = theme.UNIT, spacing: int = theme.UNIT // 2) -> tuple[QFrame, QVBoxLayout]:
    """A framed surface and the column in it."""
    frame = QFrame()
    frame.setProperty("card", True)
    column = QVBoxLayout(frame)
    column.setContentsMargins(margin, margin, margin, margin)
    column.setSpacing(spacing)
    return frame, column


def on_paper(page: QWidget, margin: int = 0) -> QWidget:
    """A page for a tab, on the ground of the card and not of the window."""
    under = QWidget()
    under.setBackgroundRole(QPalette.ColorRole.Base)
    under.setAutoFillBackground(True)
    inside = QVBoxLayout(under)
    inside.setContentsMargins(margin, margin, margin, margin)
    inside.addWidget(page)
    return under


def primary(button: QPushButton) -> QPushButton:
    """Make a button the one action of its page that is filled with the accent."""
    button.setProperty("primary", True)
    return button


def fixed_width(widget: QWidget, usual: int) -> None:
    """Give a widget a width that grows with the text; `usual` is the one at the usual size of text."""
    widget.setProperty(_WIDE, usual)
    widget.setSizePolicy(QSizePolicy.Policy.Fixed, widget.sizePolicy().verticalPolicy())
    needs = widget.least_width() if hasattr(widget, "least_width") else 0
    widget.setFixedWidth(max(theme.px(usual), needs))


def stretch(*texts: str) -> float:
    """How many times as wide some texts are in the spoken language as in English, at least 1: widths that are given
    for English grow by it."""
    metrics = theme.metrics()
    told, english = (sum(map(metrics.horizontalAdvance, words)) for words in (map(tr, texts), texts))
    return max(told / english, 1.0)


def make_room(widget: QWidget) -> None:
    """Let a widget of fixed width be wider while what it shows needs that; `least_width` of the widget tells."""
    if (usual := widget.property(_WIDE)) is not None:
        fixed_width(widget, usual)


def fixed_height(widget: QWidget, usual: int) -> None:
    """The same for a height."""
    widget.setProperty(_HIGH, usual)
    widget.setFixedHeight(theme.px(usual))


def least_width(widget: QWidget, usual: int) -> None:
    """Let a widget be no narrower than a width that grows with the text."""
    widget.setProperty(_LEAST_WIDE, usual)
    widget.setMinimumWidth(theme.px(usual))


def most_width(widget: QWidget, usual: int) -> None:
    """Let a widget be no wider than a width that grows with the text."""
    widget.setProperty(_MOST_WIDE, usual)
    widget.setMaximumWidth(theme.px(usual))


def rescale(window: QWidget) -> None:
    """Bring the sizes in a window to the size of text that is chosen now."""
    for widget in window.findChildren(QWidget):
        if (usual := widget.property(_LEAST_WIDE)) is not None:
            widget.setMinimumWidth(theme.px(usual))
        if (usual := widget.property(_MOST_WIDE)) is not None:
            widget.setMaximumWidth(theme.px(usual))
        if (usual := widget.property(_WIDE)) is not None:
            fixed_width(widget, usual)
        if (usual := widget.property(_HIGH)) is not None:
            widget.setFixedHeight(theme.px(usual))
        widget.updateGeometry()


class Scrolled(QScrollArea):
    """A widget that scrolls down where the room is too low for it; it is never narrower than the widget can be.

    `across`: what fills a page scrolls sideways too, should the window be too narrow even so. `words`: inside are words
    alone, which need this width at the usual size of text and are not measured at each change.
    """

    def __init__(
        self,
        inside: QWidget | None = None,
        *,
        across: bool = False,
        words: int | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._needed, self._words = QSize(), words
        self.setWidgetResizable(True)
        if not across:
            self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setFrameShape(QFrame.Shape.NoFrame)
        if inside is not None:
            self.setWidget(inside)

    def minimumSizeHint(self) -> QSize:
        """The width that what is inside needs, with room for the bar."""
        bar = self.style().pixelMetric(QStyle.PixelMetric.PM_ScrollBarExtent)
        inside = self.widget()
        if inside is None:
            return super().minimumSizeHint()
        if self._words is not None:
            return QSize(theme.px(self._words) + bar, self.minimumHeight())
        wide = max(inside.minimumSizeHint().width(), inside.minimumWidth())
        return QSize(wide + bar, theme.px(_LEAST_SCROLLED))

    def sizeHint(self) -> QSize:
        """No larger than it must be: a page gives it what is left."""
        return self.minimumSizeHint().expandedTo(QSize(0, theme.px(2 * _LEAST_SCROLLED)))

    def event(self, event: QEvent) -> bool:
        """What is inside may need another width; only then is the page laid out anew, which takes milliseconds."""
        if event.type() == QEvent.Type.LayoutRequest and (needs := self.minimumSizeHint()) != self._needed:
            self._needed = needs
            self.updateGeometry()
        return super().event(event)

    def showEvent(self, event: QShowEvent) -> None:
        """What has changed inside while nothing was in sight has asked for no other height."""
        super().showEvent(event)
        QCoreApplication.sendEvent(self, QEvent(QEvent.Type.LayoutRequest))


class WholeLines(Scrolled):
    """A label that scrolls line by line, with the arrow keys too once it has the focus; no line is ever cut in two."""

    def __init__(self, label: QLabel, *, words: int, parent: QWidget | None = None) -> None:
        super().__init__(label, words=words, parent=parent)
        self._label = label
        label.installEventFilter(self)
        self.verticalScrollBar().valueChanged.connect(self._snap)

    @property
    def line(self) -> int:
        """The height of a line."""
        return self._label.fontMetrics().lineSpacing()

    def show_lines(self, least: int) -> None:
        """Be so many lines high at least."""
        self.setMinimumHeight(least * self.line)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """What is left of the height beside whole lines stays empty."""
        super().resizeEvent(event)
        self.setViewportMargins(0, 0, 0, self.height() % self.line)
        self.verticalScrollBar().setSingleStep(self.line)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """The keys that move a page move the lines."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress and not event.modifiers():
            step = _KEYS.get(Qt.Key(event.key()))
            if step is not None:
                self.verticalScrollBar().triggerAction(step)
                return True
        return False

    def _snap(self, value: int) -> None:
        if off := value % self.line:
            self.verticalScrollBar().setValue(value - off + (self.line if 2 * off > self.line else 0))


def scrolled(inside: QWidget) -> Scrolled:
    """A widget on a surface that scrolls down."""
    inside.setBackgroundRole(QPalette.ColorRole.Base)
    inside.setAutoFillBackground(True)
    return Scrolled(inside)


class Columns(QWidget):
    """Widgets side by side, in as many columns as have room; the others go below the first ones.

    With `close` each goes right below the one above it, however high its neighbour is. Columns of `forms` are no wider
    than a form can be read across; what is left of the room stays at the right.
    """

    def __init__(
        self, widgets: list[QWidget], parent: QWidget | None = None, *, close: bool = False, forms: bool = False
    ) -> None:
        super().__init__(parent)
        self._widgets, self._close, self._forms = widgets, close, forms
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(theme.UNIT)
        self._count = 0
        self._place(len(widgets))

    def minimumSizeHint(self) -> QSize:
        """One column."""
        shown = [widget.minimumSizeHint() for widget in self._widgets]
        return QSize(max(size.width() for size in shown), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Another width has room for more or fewer columns."""
        super().resizeEvent(event)
        self._share()

    def event(self, event: QEvent) -> bool:
        """What is in a column may need another width."""
        if event.type() == QEvent.Type.LayoutRequest:
            self._share()
        return super().event(event)

    def _share(self) -> None:
        wide = [widget.minimumSizeHint().width() for widget in self._widgets]
        gap = self._grid.spacing()
        fitting = [
            count
            for count in range(len(wide), 0, -1)
            if sum(max(wide[column::count]) for column in range(count)) + gap * (count - 1) <= self.width()
        ]
        most = fitting[0] if fitting else 1
        # No more columns than the lines that it takes need: four go two and two, not three and one.
        lines = -(-len(wide) // most)
        self._place(min((count for count in fitting if -(-len(wide) // count) == lines), default=1))
        if self._forms:
            most_wide = max(theme.px(FORM), *wide)
            spare = self.width() - self._count * most_wide - gap * (self._count - 1)
            margins = QMargins(0, 0, max(spare, 0), 0)
            if margins != self._grid.contentsMargins():
                self._grid.setContentsMargins(margins)

    def _place(self, count: int) -> None:
        if count == self._count:
            return
        self._count = count
        for widget in self._widgets:
            self._grid.removeWidget(widget)
        for column in range(len(self._widgets)):
            self._grid.setColumnStretch(column, int(column < count))
        lines = -(-len(self._widgets) // count)
        for line in range(len(self._widgets)):
            self._grid.setRowStretch(line, int(self._close and line == lines - 1))
        for place, widget in enumerate(self._widgets):
            line, column = divmod(place, count)
            last = place + count >= len(self._widgets)
            self._grid.addWidget(widget, line, column, lines - line if self._close and last else 1, 1)


def fill(page: QWidget, content: QWidget) -> None:
    """Let one widget fill a page."""
    row = QHBoxLayout(page)
    row.setContentsMargins(0, 0, 0, 0)
    row.addWidget(content)
