"""The list of bikes as the page shows it: read from the index, brought up to date beside the window."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from gearplan.shelf.entry import Listed
from gearplan.shelf.index import Index, begin_anew, opened
from gearplan.shelf.looking import Looked, look
from gearplan.window.kit.background import Background, Tell, Unwanted

#: So long after the last look the folders are looked through again while the list is in sight; after one that took
#: long (a network, very many files) so many times as long as it took.
_AGAIN_MS, _PAUSES = 4000, 10
#: While files are being read the list is shown anew at most this often (s).
_SHOWN_AGAIN = 2.0


class ShelfWork(QObject):
    """`changed` after every change of the list, `told` with how far the reading is (None once it is done).

    `chosen` says which folders are listed: asked each time, for another window may have chosen others.
    """

    changed = Signal()
    told = Signal(object)

    def __init__(self, file: Path, chosen: Callable[[], tuple[Path, ...]], parent: QObject) -> None:
        super().__init__(parent)
        self._file, self._chosen = file, chosen
        self._index: Index | None = None
        self._checked = False
        self._shown = self._begun = 0.0
        self._work = Background(self)
        self._work.progressed.connect(self._progress)
        self._work.done.connect(self._looked)
        self._work.failed.connect(self._failed)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self.look)
        #: The folders that are listed.
        self.folders: tuple[Path, ...] = ()
        #: All that is listed of them, in no order.
        self.entries: list[Listed] = []
        #: What is to be said of folders, and of the list itself where it cannot be kept.
        self.troubles: tuple[str, ...] = ()

    def look(self) -> None:
        """List the folders: what is known of them at once, and what has changed as soon as it has been read."""
        self._timer.stop()
        folders = self._chosen()
        if folders != self.folders or not self._shown:
            self.folders = folders
            self._work.cancel()
            self.read()
        if not self._work.busy:
            self._compare()

    def rest(self) -> None:
        """The list is not in sight."""
        self._timer.stop()

    def finish(self) -> None:
        """The window goes."""
        self._timer.stop()
        self._work.finish()
        self._close()

    def read(self) -> None:
        """Read the list from the index."""
        self._shown = time.monotonic()
        self._close()
        try:
            self._index = opened(self._file)
            self.entries = self._index.entries(self.folders)
        except (sqlite3.Error, OSError) as failed:
            self._refused(failed)
            self.entries = []
        self.changed.emit()

    def matching(self, words: str) -> set[str] | None:
        """The paths of the files that the words ask for; None for all."""
        if self._index is None:
            return None
        try:
            return self._index.matching(words)
        except sqlite3.Error as failed:
            self._refused(failed)
            return None

    def _compare(self) -> None:
        file, folders, check = self._file, self.folders, not self._checked

        def work(tell: Tell, unwanted: Unwanted) -> Looked:
            def go_on(done: int, of: int) -> bool:
                if of:
                    tell(done / of)
                return not unwanted()

            index = opened(file, check=check)
            try:
                return look(index, folders, date.today(), go_on)
            finally:
                index.close()

        self._begun = time.monotonic()
        self._work.start(work)

    def _progress(self, share: float) -> None:
        self.told.emit(share)
        cost = time.monotonic()
        if cost - self._shown > _SHOWN_AGAIN:
            self.read()
            # A long list takes its time to be shown: no more than a tenth of what there is.
            self._shown += 9 * (time.monotonic() - cost)

    def _looked(self, looked: object) -> None:
        assert isinstance(looked, Looked)
        troubles = self.troubles
        self.troubles = looked.told
        if looked.changed or not self._checked:
            self._checked = True
            self.read()
        elif troubles != self.troubles:
            self.changed.emit()
        self.told.emit(None)
        self._rest()

    def _failed(self, error: object) -> None:
        if not isinstance(error, (sqlite3.Error, OSError)):
            raise error  # type: ignore[misc]
        self._refused(error)
        self.told.emit(None)
        self._rest()

    def _rest(self) -> None:
        took = 1000 * (time.monotonic() - self._begun)
        self._timer.start(max(_AGAIN_MS, int(_PAUSES * took)))

    def _refused(self, error: Exception) -> None:
        """Say why the list cannot be kept; one that is broken is begun anew."""
        if isinstance(error, sqlite3.DatabaseError) and not isinstance(error, sqlite3.OperationalError):
            self._close()
            begin_anew(self._file)
            return
        self.troubles = (f"The list cannot be kept in {self._file}: {error}.",)
        self.changed.emit()

    def _close(self) -> None:
        if self._index is not None:
            self._index.close()
            self._index = None
