"""All that can be done now in one list that is searched by words: what the menus hold, and the page's buttons."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QDialog,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QMainWindow,
    QMenu,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.language import tr
from gearplan.window.kit import theme

#: So large at the usual size of text.
_WIDE, _HIGH = 520, 420
_LISTED = (Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown)


@dataclass(frozen=True, slots=True)
class Doing:
    """One thing that can be done: its words, its keys, and how."""

    words: str
    keys: str
    do: Callable[[], object]


def doings(window: QMainWindow, page: QWidget) -> list[Doing]:
    """What the menus hold, each with the names of its menus before it, then the page's buttons."""
    found: list[Doing] = []
    for head in window.menuBar().actions():
        menu = head.menu()
        if isinstance(menu, QMenu):
            found += _of_menu(menu, (_plain(head.text()),))
    for button in page.findChildren(QPushButton):
        words = _plain(button.text())
        if words and button.isVisible() and button.isEnabled():
            found.append(
                Doing(
                    tr("On this page: {accessiblename}", accessiblename=button.accessibleName() or words),
                    "",
                    button.click,
                )
            )
    return found


def _of_menu(menu: QMenu, path: tuple[str, ...]) -> Iterator[Doing]:
    menu.aboutToShow.emit()
    for action in menu.actions():
        inner = action.menu()
        if isinstance(inner, QMenu):
            yield from _of_menu(inner, (*path, _plain(action.text())))
        elif not action.isSeparator() and action.isEnabled() and action.isVisible():
            keys = action.shortcut().toString(QKeySequence.SequenceFormat.NativeText)
            yield Doing(": ".join((*path, _plain(action.text()))), keys, action.trigger)


def _plain(text: str) -> str:
    return text.replace("&&", "\0").replace("&", "").replace("\0", "&")


class ActionList(QDialog):
    """The list; Enter or a click does what is chosen, once the list has gone."""

    def __init__(self, offered: list[Doing], parent: QWidget) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self.setWindowTitle(tr("All actions"))
        self.resize(theme.px(_WIDE), theme.px(_HIGH))
        self._offered = offered
        self._before = QApplication.focusWidget()
        column = QVBoxLayout(self)
        self.words = QLineEdit()
        self.words.setPlaceholderText(tr("words of what you want to do"))
        self.words.setAccessibleName(tr("Words of what you want to do"))
        self.words.textChanged.connect(self._show)
        self.words.installEventFilter(self)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("What can be done"))
        self.list.itemActivated.connect(self._do)
        self.list.itemClicked.connect(self._do)
        column.addWidget(self.words)
        column.addWidget(self.list)
        self._show("")

    def _show(self, words: str) -> None:
        wanted = words.casefold().split()
        self.list.clear()
        for place, doing in enumerate(self._offered):
            if all(word in doing.words.casefold() for word in wanted):
                item = QListWidgetItem(f"{doing.words}    {doing.keys}" if doing.keys else doing.words, self.list)
                item.setData(Qt.ItemDataRole.UserRole, place)
        self.list.setCurrentRow(0)

    def _do(self, item: QListWidgetItem) -> None:
        doing = self._offered[item.data(Qt.ItemDataRole.UserRole)]
        self.accept()
        if self._before is not None:
            # What is done may ask what is at hand.
            self._before.setFocus()
        doing.do()

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Keys that mean the list move in it while the words keep the focus."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in _LISTED:
                QApplication.sendEvent(self.list, event)
                return True
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                if (item := self.list.currentItem()) is not None:
                    self._do(item)
                return True
        return False
