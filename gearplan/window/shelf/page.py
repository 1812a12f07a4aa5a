"""The page of all bikes: the bike files of chosen folders, found as one types, sorted, opened by Enter."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QKeySequence, QPalette, QResizeEvent, QShortcut, QShowEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QComboBox,
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QMenu,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.text.written import counted
from gearplan.language import tr
from gearplan.plan.driveset import fitted
from gearplan.plan.words import set_name
from gearplan.shelf.entry import Listed
from gearplan.shelf.order import COLUMNS, cells, in_order
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import FORM, Scrolled, card, fill, least_width, most_width, primary, scrolled
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.shelf.preview import BikePreview
from gearplan.window.shelf.work import ShelfWork

_EMPTY = tr(
    "Choose the folder in which your bike files are. All in it and in the folders within are listed here, and found by "
    "any word: name, owner, registration, chain, a part number."
)
#: The words that are looked for have no more room than this at the usual size of text.
_ASKED = 720
#: From this width on, at the usual size of text, the bike at hand stands beside the list as a picture.
_WITH_PREVIEW = 1700
_KEYS = {Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_PageUp, Qt.Key.Key_PageDown}


class ShelfPage(QWidget):
    """`open_asked` carries the file of a bike, `demo_asked` the name of a demo bike; `folder_added` and
    `folder_removed` a folder."""

    open_asked = Signal(object)
    demo_asked = Signal(str)
    folder_added = Signal(object)
    folder_removed = Signal(object)

    def __init__(
        self, document: Document, file: Path, chosen: Callable[[], tuple[Path, ...]], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._ordered: list[Listed] = []
        self._lines: dict[Path, tuple[str, ...]] = {}
        self._shown: list[Listed] = []
        self._share: float | None = None
        self.work = ShelfWork(file, chosen, self)
        self.work.changed.connect(self._take)
        self.work.told.connect(self._tell)
        inside = QWidget()
        fill(self, Scrolled(inside))
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT)
        column.addWidget(self._head())
        self.table = TextTable(tr("Bikes"), left=tuple(range(len(COLUMNS))), fills=True, tip=self._tip)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.activated.connect(self._open)
        self.table.horizontalHeader().setSectionsClickable(True)
        self.table.horizontalHeader().sectionClicked.connect(self._head_clicked)
        self.table.selectionModel().currentRowChanged.connect(self._say)
        beside = QHBoxLayout()
        beside.setSpacing(theme.UNIT)
        column.addLayout(beside, 1)
        listed, left = card()
        beside.addWidget(listed, 4)
        left.addWidget(self.table, 1)
        self.empty = self._no_folder()
        left.addWidget(self.empty, 1)
        self.preview = BikePreview()
        self.preview.hide()
        beside.addWidget(self.preview, 6)
        self.status = PlainLabel()
        self.status.setProperty("role", "small")
        self.status.setWordWrap(True)
        column.addWidget(self.status)
        find = QShortcut(QKeySequence(QKeySequence.StandardKey.Find), self)
        find.setContext(Qt.ShortcutContext.WindowShortcut)
        find.activated.connect(self._find)

    def _head(self) -> QFrame:
        frame, column = card()
        row = Flow()
        column.addLayout(row)
        self.words = QLineEdit()
        self.words.setPlaceholderText(tr("a name, a plate, a chain size"))
        self.words.setClearButtonEnabled(True)
        least_width(self.words, 170)
        self.words.textEdited.connect(self._show)
        self.words.returnPressed.connect(self._open_current)
        self.words.installEventFilter(self)
        self.sort = QComboBox()
        for name in COLUMNS:
            self.sort.addItem(tr(name), name)
        self.sort.currentIndexChanged.connect(self._sort)
        self.backwards = TickBox(tr("Reversed"))
        self.backwards.toggled.connect(self._sort)
        self.folders = QPushButton(tr("F&olders"))
        self._menu = QMenu(self.folders)
        self._menu.aboutToShow.connect(self._fill_menu)
        self.folders.setMenu(self._menu)
        asked = together(labelled(tr("Loo&king for"), self.words), self.words, grows=True)
        most_width(asked, _ASKED)
        row.addWidget(asked)
        row.addWidget(together(labelled(tr("Sorted &by"), self.sort), self.sort))
        row.addWidget(self.backwards)
        row.addWidget(self.folders)
        return frame

    def _no_folder(self) -> QWidget:
        inside = QWidget()
        inside.setBackgroundRole(QPalette.ColorRole.Base)
        inside.setAutoFillBackground(True)
        column = QVBoxLayout(inside)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(2 * theme.UNIT)
        words = PlainLabel(_EMPTY)
        words.setWordWrap(True)
        most_width(words, FORM)
        column.addWidget(words)
        self.choose = primary(QPushButton(tr("Choose a folder…")))
        self.choose.clicked.connect(self.ask_folder)
        column.addWidget(self.choose, 0, Qt.AlignmentFlag.AlignLeft)
        column.addSpacing(theme.UNIT)
        title = PlainLabel(tr("Bikes that come with the program"))
        title.setProperty("role", "title")
        title.setWordWrap(True)
        column.addWidget(title)
        self.demos = TextTable(tr("Bikes that come with the program"), left=(0, 1))
        # It may scroll sideways where the text is very large.
        least_width(self.demos, 200)
        self.demos.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        told = [(name, set_name(fitted(demo_bike(name).bike))) for name in demo_bikes()]
        self.demos.show_texts((tr("Motorcycle"), tr("as fitted")), told)
        self.demos.selectRow(0)
        self.demos.activated.connect(self._open_demo)
        self.demos.doubleClicked.connect(self._open_demo)
        self.demos.selectionModel().currentRowChanged.connect(self._show_preview)
        column.addWidget(self.demos)
        hint = PlainLabel(tr("Enter or a double-click opens one."))
        hint.setProperty("role", "small")
        hint.setWordWrap(True)
        column.addWidget(hint)
        column.addStretch(1)
        return scrolled(inside)

    # What it shows.

    def refresh(self) -> None:
        """Show the list as it is now; what has changed on the disk follows."""
        self.work.look()

    def recolour(self) -> None:
        """The style sheet colours all of this page but the picture."""
        self.preview.recolour()

    def finish(self) -> None:
        """The window goes: no work is left behind."""
        self.work.finish()

    def showEvent(self, event: QShowEvent) -> None:
        """One types at once, unless arrow keys go through a list of pages, which would go no further."""
        super().showEvent(event)
        asked = QApplication.mouseButtons() or QApplication.keyboardModifiers()
        if asked or not isinstance(QApplication.focusWidget(), QAbstractItemView):
            self._find()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody looks: the folders are let alone."""
        super().hideEvent(event)
        self.work.rest()

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Keys that mean the list move in it while the words keep the focus; Escape takes the words away."""
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() in _KEYS:
                QApplication.sendEvent(self.table, event)
                return True
            if event.key() == Qt.Key.Key_Escape and self.words.text():
                self.words.clear()
                self._show()
                return True
        return False

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A large screen has room for a picture of the bike at hand."""
        super().resizeEvent(event)
        self.preview.setVisible(self.width() >= theme.px(_WITH_PREVIEW))
        self._show_preview()

    def _show_preview(self) -> None:
        if self.width() < theme.px(_WITH_PREVIEW):
            return
        if self.work.folders:
            self.preview.show_file(self._current())
        else:
            name = list(demo_bikes())[max(self.demos.currentIndex().row(), 0)]
            self.preview.show_bike(demo_bike(name).bike)

    def _take(self) -> None:
        """The list has changed."""
        self.empty.setVisible(not self.work.folders)
        self.table.setVisible(bool(self.work.folders))
        self._lines = {entry.path: cells(entry) for entry in self.work.entries}
        self._sort()

    def _sort(self) -> None:
        self._ordered = in_order(self.work.entries, self.sort.currentData(), backwards=self.backwards.isChecked())
        self._show()

    def _show(self) -> None:
        at = self._current()
        found = self.work.matching(self.words.text())
        self._shown = [entry for entry in self._ordered if found is None or str(entry.path) in found]
        self.table.show_texts(tuple(map(tr, COLUMNS)), [self._lines[entry.path] for entry in self._shown])
        paths = [entry.path for entry in self._shown]
        if paths:
            self.table.selectRow(paths.index(at) if at in paths else 0)
        self._say()

    def _tell(self, share: object) -> None:
        self._share = share if isinstance(share, float) else None
        self._say()

    def _say(self) -> None:
        of = len(self._ordered)
        told, folders = counted(of, "motorcycle", "motorcycles"), self.work.folders
        if self.words.text().strip():
            told = tr("{shown} of {told}", shown=len(self._shown), told=told)
        told += tr(" in {counted}. Enter opens one.", counted=counted(len(folders), "folder", "folders"))
        broken = sum(bool(entry.fault) for entry in self._ordered)
        if broken:
            told += tr(" {counted} cannot be read; the line of one says why.", counted=counted(broken, "file", "files"))
        if self._share is not None:
            told += tr(" Reading bike files: {share:.0f} %.", share=100 * self._share)
        at = self.table.currentIndex().row()
        fault = self._shown[at].fault if 0 <= at < len(self._shown) else ""
        self._show_preview()
        self.status.setText("\n".join(filter(None, (told, fault, *self.work.troubles))) if folders else "")

    def _tip(self, row: int) -> str:
        entry = self._shown[row]
        return entry.fault or str(entry.path)

    # What is done.

    def _current(self) -> Path | None:
        row = self.table.currentIndex().row()
        return self._shown[row].path if 0 <= row < len(self._shown) else None

    def _open(self) -> None:
        self._open_current()

    def _open_current(self) -> None:
        if at := self._current():
            self.open_asked.emit(at)

    def _open_demo(self) -> None:
        self.demo_asked.emit(list(demo_bikes())[self.demos.currentIndex().row()])

    def _find(self) -> None:
        if self.isVisible():
            self.words.setFocus(Qt.FocusReason.OtherFocusReason)
            self.words.selectAll()

    def _head_clicked(self, column: int) -> None:
        if column == self.sort.currentIndex():
            self.backwards.toggle()
        else:
            self.sort.setCurrentIndex(column)

    def _fill_menu(self) -> None:
        self._menu.clear()
        self._menu.addAction(tr("&Add a folder…")).triggered.connect(self.ask_folder)
        if self.work.folders:
            self._menu.addSeparator()
        for folder in self.work.folders:
            action = self._menu.addAction(tr("Take out ") + str(folder).replace("&", "&&"))
            action.setData(str(folder))
            action.triggered.connect(self._take_out)

    def ask_folder(self) -> None:
        """Ask for one more folder to list."""
        own = self._document.path
        known = self.work.folders[-1:] or (() if own is None else (own.absolute().parent,))
        name = QFileDialog.getExistingDirectory(self, tr("A folder of bikes"), str((*known, Path.home())[0]))
        if name:
            self.folder_added.emit(Path(name))

    def _take_out(self) -> None:
        self.folder_removed.emit(Path(self.sender().data()))  # type: ignore[attr-defined]
