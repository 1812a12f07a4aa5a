"""The strip over the work in which the program says one thing at a time, until it is closed."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt, QTimer, Signal
from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from gearplan.window.kit import theme
from gearplan.window.kit.shapes import VerdictShape

#: So wide at most, at the usual size of text: longer lines are hard to read.
_WIDEST = 900
#: Good news that asks for nothing goes by itself.
_GONE_AFTER_MS = 12_000


class MessageStrip(QFrame):
    """A message in words, with a triangle if something is wrong.

    It lies over the foot of its parent, so that nothing below the pointer moves, and over the head of it where the
    foot holds the field that is being typed in. It never takes the focus by itself.
    """

    taken = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.setProperty("overlay", True)
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.UNIT, theme.UNIT // 2, theme.UNIT, theme.UNIT // 2)
        self.shape = VerdictShape(16)
        self.text = QLabel()
        self.text.setWordWrap(True)
        self.text.setTextFormat(Qt.TextFormat.PlainText)
        self.text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.offer = QPushButton()
        self.offer.clicked.connect(self.taken)
        close = QPushButton("Close")
        close.setToolTip("Close this message (Esc)")
        close.clicked.connect(self.hide)
        row.addWidget(self.shape)
        row.addWidget(self.text, 1)
        row.addWidget(self.offer)
        row.addWidget(close)
        self._gone = QTimer(self)
        self._gone.setSingleShot(True)
        self._gone.setInterval(_GONE_AFTER_MS)
        self._gone.timeout.connect(self.hide)
        parent.installEventFilter(self)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._focus_moved)
        self.hide()

    def say(self, text: str, *, wrong: bool = False, offer: str = "") -> None:
        """Show a message in place of the last; an empty one clears the strip.

        `offer` is the label of a button beside it, which emits `taken`.
        """
        self.offer.setText(offer)
        self.offer.setVisible(bool(offer))
        self.shape.show_level("check" if wrong else "fits")
        self.text.setText(text)
        self.setAccessibleName(text)
        self._gone.stop()
        if text and not wrong and not offer:
            self._gone.start()
        self.setVisible(bool(text))
        self._place()

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """The strip keeps to its edge."""
        if event.type() == QEvent.Type.Resize:
            self._place()
        return False

    def _focus_moved(self, _before: QWidget | None, _after: QWidget | None) -> None:
        self._place()

    def _place(self) -> None:
        parent = self.parentWidget()
        if parent is None or not self.isVisibleTo(parent):
            return
        room = parent.rect().adjusted(theme.UNIT, theme.UNIT, -theme.UNIT, -theme.UNIT)
        wide = min(room.width(), theme.px(_WIDEST))
        high = min(max(self.heightForWidth(wide), self.minimumSizeHint().height()), room.height())
        place = QRect(room.center().x() - wide // 2, room.bottom() - high + 1, wide, high)
        at = QApplication.focusWidget()
        if at is not None and parent.isAncestorOf(at) and not self.isAncestorOf(at):
            typed = QRect(at.mapTo(parent, QPoint(0, 0)), at.size())
            if typed.height() < room.height() // 2 and place.intersects(typed):
                place.moveTop(room.top())
        self.setGeometry(place)
        self.raise_()
