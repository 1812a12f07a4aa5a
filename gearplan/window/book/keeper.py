"""Keeps the book of the bike at hand: read when it is looked at, written a moment after each change."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from gearplan.bike.book import BookEntry
from gearplan.bike.files import bookfile
from gearplan.bike.files.bookfile import Book, BookChangedOnDisk, BookFileError, beside
from gearplan.bike.files.ordinary import reason
from gearplan.bike.text.written import counted
from gearplan.language import tr
from gearplan.window.document.document import Document

_WRITE_AFTER_MS = 800
_KEPT_STEPS = 200


class BookKeeper(QObject):
    """The book beside the bike's file. `changed` says that other entries stand in it, `told` carries what a person
    must know and whether it is wrong.

    A file that cannot be read is never written: `problem` says why. What cannot be written is kept and tried again.
    """

    changed = Signal()
    told = Signal(str, bool)

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._path: Path | None = None
        self._on_disk = self.book = Book()
        self._before: list[Book] = []
        self.problem = ""
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_WRITE_AFTER_MS)
        self._soon.timeout.connect(self.write)

    @property
    def path(self) -> Path | None:
        """The book's file; None while the bike has none."""
        return self._path

    @property
    def unwritten(self) -> bool:
        """Whether something stands here that the file does not hold."""
        return self.book.text != self._on_disk.text

    @property
    def can_take_back(self) -> bool:
        """Whether there is a change to take back."""
        return bool(self._before)

    def look(self) -> None:
        """Read the book of the bike at hand, unless something of it still has to be written."""
        own = self._document.path
        path = None if own is None else beside(own)
        if path == self._path and self.unwritten:
            return
        if path != self._path:
            self.write()
            self._before = []
        self._path, self.problem, before = path, "", self.book
        try:
            self._on_disk = self.book = Book() if path is None else bookfile.read_book(path)
        except BookFileError as refused:
            self._on_disk = self.book = Book()
            self.problem = tr("{refused}. Nothing is written to it until that is mended.", refused=refused)
        if self.book.text != before.text:
            self._before = []
            self.changed.emit()

    def add(self, entry: BookEntry) -> None:
        """One more entry, at the end."""
        self._take(bookfile.added(self.book, entry))

    def change(self, index: int, entry: BookEntry) -> None:
        """Another entry in place of one."""
        self._take(bookfile.changed(self.book, index, entry))

    def take_out(self, index: int) -> None:
        """The book without one entry."""
        self._take(bookfile.without(self.book, index))

    def take_back(self) -> None:
        """The book as it was before the last change."""
        if self._before:
            self.book = self._before.pop()
            self._soon.start()
            self.changed.emit()

    def write(self) -> bool:
        """Write what has changed; True if nothing is left to be written."""
        self._soon.stop()
        if not self.unwritten or self._path is None:
            return not self.unwritten
        try:
            bookfile.save_book(self._path, self.book, self._on_disk)
        except BookChangedOnDisk:
            return self._write_merged(self._path)
        except (OSError, BookFileError) as failed:
            self.told.emit(
                tr("Not written to {name}: {reason}. It is still here.", name=self._path.name, reason=reason(failed)),
                True,
            )
            return False
        self._on_disk = self.book
        return True

    def _write_merged(self, path: Path) -> bool:
        """Something else has written the book since it was read: what both have written down is kept."""
        try:
            theirs = bookfile.read_book(path)
            book, twice = bookfile.merged(self._on_disk, self.book, theirs)
            bookfile.save_book(path, book, theirs)
        except (OSError, BookFileError) as failed:
            told = tr(
                "Not written: something else has changed {name}, and {reason}. It is still here.",
                name=path.name,
                reason=reason(failed),
            )
            self.told.emit(told, True)
            return False
        self._on_disk = self.book = book
        # A step back would take out what the other has written.
        self._before = []
        told = tr("The book was changed elsewhere too; both are kept.")
        if twice:
            told += tr(
                " {counted} changed in both places: each stands there twice.",
                counted=counted(twice, "entry", "entries"),
            )
        self.told.emit(told, bool(twice))
        self.changed.emit()
        return True

    def _take(self, book: Book) -> None:
        if book.text == self.book.text:
            return
        self._before = [*self._before[-_KEPT_STEPS:], self.book]
        self.book = book
        self._soon.start()
        self.changed.emit()
