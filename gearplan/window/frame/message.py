"""The strip beside the menus in which the program says one thing at a time, until it is closed."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QObject, QRect, Qt, QTimer, QUrl, Signal
from PySide6.QtGui import QDesktopServices, QGuiApplication, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QMainWindow, QMessageBox, QPushButton, QSizePolicy

from gearplan.language import tr
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import fixed_height
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.kit.shapes import VerdictShape
from gearplan.window.kit.spoken import Speaker

#: The menus' row is so high, at the usual size of text, that a button has room in it.
_HIGH = 28
#: Good news that asks for nothing goes by itself.
_GONE_AFTER_MS = 12_000


class _OneLine(PlainLabel):
    """A label whose text ends in dots where the room ends; `is_cut` tells whether it does."""

    def __init__(self) -> None:
        super().__init__()
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def is_cut(self, width: int) -> bool:
        """Whether a width is too little for the whole text."""
        return "\n" in self.text() or self.fontMetrics().horizontalAdvance(self.text()) > width

    def paintEvent(self, _event: QPaintEvent) -> None:
        """As much as has room."""
        text, room = self.text().replace("\n", " "), self.contentsRect()
        shown = self.fontMetrics().elidedText(text, Qt.TextElideMode.ElideRight, room.width())
        self.style().drawItemText(
            QPainter(self), room, Qt.AlignmentFlag.AlignVCenter, self.palette(), True, shown, self.foregroundRole()
        )


class MessageStrip(QFrame):
    """A message in words, with a triangle if something is wrong.

    It stands in the row of the menus, to the right of them, where nothing else can be pressed: it moves and covers
    nothing, and a click that comes just after it went reaches nothing. It never takes the focus by itself.
    """

    taken = Signal()

    def __init__(self, window: QMainWindow) -> None:
        super().__init__(window)
        self._menus = window.menuBar()
        # A desktop that takes the menus out of the window would leave no row for the message.
        self._menus.setNativeMenuBar(False)
        fixed_height(self._menus, _HIGH)
        self.setProperty("card", True)
        self._row = row = QHBoxLayout(self)
        row.setContentsMargins(theme.UNIT, 0, 2, 0)
        self.shape = VerdictShape(16)
        self.text = _OneLine()
        self.offer, self.whole, close = QPushButton(), QPushButton(tr("Read all…")), QPushButton(tr("Close"))
        self.folder = QPushButton(tr("Show in folder"))
        self.folder.clicked.connect(self._show_folder)
        self._written = Path()
        self.copy = QPushButton(tr("Copy the report"))
        self.copy.clicked.connect(self._copy_report)
        self._report = ""
        self._speaker = Speaker(self, after=0)
        self.offer.clicked.connect(self.taken)
        self.whole.clicked.connect(self._show_whole)
        close.setToolTip(tr("Close this message (Esc)"))
        close.clicked.connect(self.hide)
        row.addWidget(self.shape)
        row.addWidget(self.text, 1)
        for button in (self.whole, self.folder, self.copy, self.offer, close):
            button.setProperty("slim", True)
            row.addWidget(button)
        self._gone = QTimer(self)
        self._gone.setSingleShot(True)
        self._gone.setInterval(_GONE_AFTER_MS)
        self._gone.timeout.connect(self._go)
        self._menus.installEventFilter(self)
        self.hide()

    def say(self, text: str, *, wrong: bool = False, offer: str = "") -> None:
        """Show a message in place of the last; an empty one clears the strip.

        `offer` is the label of a button beside it, which emits `taken`.
        """
        self.folder.hide()
        self.copy.hide()
        self.offer.setText(offer)
        self.offer.setVisible(bool(offer))
        self.shape.show_level("check" if wrong else "fits")
        self.text.setText(text)
        self.text.setToolTip(plain(text))
        self.setAccessibleName(text)
        self._speaker.take(text, again=True)
        self._gone.stop()
        if text and not wrong and not offer:
            self._gone.start()
        self.setVisible(bool(text))
        self._place()

    def say_written(self, path: Path, also: str = "") -> None:
        """Say that a file has been written, and what else is to be said of it; with a button that opens its folder."""
        self.say(tr("Written: {path}{also}", path=path, also=also and f". {also}"))
        self._written = path
        self.folder.show()
        self._place()

    def say_failed(self, text: str, report: str) -> None:
        """Say that the program itself failed, with a button that copies a report of it."""
        self.say(text, wrong=True)
        self._report = report
        self.copy.show()
        self._place()

    def _copy_report(self) -> None:
        QGuiApplication.clipboard().setText(self._report)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """The strip keeps to the right of the menus, and of the name that stands at their end."""
        if event.type() in (QEvent.Type.Resize, QEvent.Type.Move, QEvent.Type.LayoutRequest):
            self._place()
        return False

    def _place(self) -> None:
        if not self.text.text():
            return
        menus = self._menus.geometry()
        ends = max((self._menus.actionGeometry(menu).right() for menu in self._menus.actions()), default=0)
        name = self._menus.cornerWidget()
        room = (menus.width() if name is None or not name.isVisible() else name.x()) - ends
        place = QRect(menus.left() + ends, menus.top(), room, menus.height())
        place.adjust(2 * theme.UNIT, 1, -theme.UNIT, 0)
        # Whether all of it can be read is known only beside the buttons that it leaves room for.
        self.whole.hide()
        self.setGeometry(place)
        self._row.activate()
        self.whole.setVisible(self.text.is_cut(self.text.width()))
        self.raise_()

    def _go(self) -> None:
        """Time is up, unless the keyboard is at one of its buttons."""
        if self.isAncestorOf(self.window().focusWidget()):
            self._gone.start()
        else:
            self.hide()

    def _show_folder(self) -> None:
        folder = self._written.absolute().parent
        if not folder.is_dir():
            self.say(tr("{folder} is not there any more.", folder=folder), wrong=True)
        elif not QDesktopServices.openUrl(QUrl.fromLocalFile(str(folder))):
            self.say(tr("No program here shows folders. The file is in {folder}.", folder=folder), wrong=True)

    def _show_whole(self) -> None:
        box = QMessageBox(QMessageBox.Icon.NoIcon, tr("Message"), plain(self.text.text()), parent=self.window())
        box.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        box.exec()
        box.deleteLater()
