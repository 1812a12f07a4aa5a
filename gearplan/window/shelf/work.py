"""The list of bikes as the page shows it: read from the index, brought up to date beside the window."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from gearplan.language import tr
from gearplan.shelf.entry import Listed
from gearplan.shelf.index import Index, begin_anew, opened
from gearplan.shelf.looking import Looked, look_into
from gearplan.window.kit.background import Background, Tell, Unwanted

#: So long after the last look the folders are looked through again while the list is in sight; after one that took
#: long (a network, very many files) so many times as long as it took.
_AGAIN_MS, _PAUSES = 4000, 10
#: While files are being read the list is shown anew at most this often (s).
_SHOWN_AGAIN = 2.0
#: A folder out of which nothing has come for so long does not answer (s); the others are not kept waiting by it.
_SILENT = 3.0
#: So often it is looked whether a folder is due again, or silent.
_TICK_MS = 1000


class _Folder(QObject):
    """One folder that is looked through, in a thread of its own: a drive that hangs holds up nothing else.

    `looked` and `failed` carry the folder itself with what came of it, `told` the folder.
    """

    looked = Signal(object, object)
    failed = Signal(object, object)
    told = Signal(object)

    def __init__(self, path: Path, file: Path, parent: QObject) -> None:
        super().__init__(parent)
        self.path, self._file = path, file
        self.progress = (0, 0)
        self.troubles: tuple[str, ...] = ()
        self.due = 0.0
        #: Whether what was found in it has been shown since it was chosen.
        self.shown = False
        self._begun = self._heard = 0.0
        self._work = Background(self)
        self._work.progressed.connect(self._progress)
        self._work.done.connect(self._done)
        self._work.failed.connect(self._failed)

    @property
    def busy(self) -> bool:
        """Whether it is being looked through."""
        return self._work.busy

    @property
    def silent(self) -> bool:
        """Whether it does not answer."""
        return self.busy and time.monotonic() - self._heard > _SILENT

    @property
    def told_of(self) -> tuple[str, ...]:
        """What is to be said of it now."""
        return (
            (tr("{path} does not answer: its bikes are listed as last seen.", path=self.path),)
            if self.silent
            else self.troubles
        )

    def look(self, *, check: bool) -> None:
        """Begin; to `check` has the whole index read."""
        folder, file = self.path, self._file

        def work(tell: Tell, unwanted: Unwanted) -> Looked:
            def go_on(done: int, of: int) -> bool:
                self._heard, self.progress = time.monotonic(), (done, of)
                if of:
                    tell(done / of)
                return not unwanted()

            index = opened(file, check=check)
            try:
                return look_into(index, folder, date.today(), go_on)
            finally:
                index.close()

        self._begun = self._heard = time.monotonic()
        self._work.start(work)

    def finish(self) -> None:
        """It is wanted no more; one that does not answer is not waited for."""
        if self.silent:
            self._work.cancel()
        else:
            self._work.finish()

    def _progress(self, _share: float) -> None:
        self.told.emit(self)

    def _done(self, looked: object) -> None:
        assert isinstance(looked, Looked)
        self.troubles = looked.told
        self._rest()
        self.looked.emit(self, looked)

    def _failed(self, error: object) -> None:
        self._rest()
        self.failed.emit(self, error)

    def _rest(self) -> None:
        self.progress = (0, 0)
        now = time.monotonic()
        self.due = now + max(_AGAIN_MS / 1000, _PAUSES * (now - self._begun))


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
        self._shown = self._asked = 0.0
        self._looks: dict[Path, _Folder] = {}
        self._refusal = ""
        self._out = Background(self)
        self._out.failed.connect(self._not_kept)
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._tick)
        #: The folders that are listed.
        self.folders: tuple[Path, ...] = ()
        #: All that is listed of them, in no order.
        self.entries: list[Listed] = []
        #: What is to be said of folders, and of the list itself where it cannot be kept.
        self.troubles: tuple[str, ...] = ()

    def look(self) -> None:
        """List the folders: what is known of them at once, and what has changed as soon as it has been read."""
        folders, self._asked = self._chosen(), time.monotonic()
        if folders != self.folders or not self._shown:
            self._list(folders)
        self._start(list(self._looks.values()))
        self._timer.start(min(_AGAIN_MS, _TICK_MS))

    def _list(self, folders: tuple[Path, ...]) -> None:
        """Other folders are chosen: what lies in none of them is taken out of the index."""
        self.folders = folders
        for path in [path for path in self._looks if path not in folders]:
            gone = self._looks.pop(path)
            gone.finish()
            gone.deleteLater()
        for path in folders:
            if path not in self._looks:
                one = self._looks[path] = _Folder(path, self._file, self)
                one.looked.connect(self._looked)
                one.failed.connect(self._failed)
                one.told.connect(self._progress)
        file = self._file

        def work(_tell: Tell, _unwanted: Unwanted) -> int:
            index = opened(file)
            try:
                if taken_out := index.keep_only(folders):
                    index.tidy()
                return taken_out
            finally:
                index.close()

        self._out.start(work)
        self.read()

    def rest(self) -> None:
        """The list is not in sight."""
        self._timer.stop()

    def finish(self) -> None:
        """The window goes."""
        self._timer.stop()
        for one in self._looks.values():
            one.finish()
        self._out.finish()
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
        """The paths of files that the words ask for; None for all."""
        if self._index is None:
            return None
        try:
            return self._index.matching(words)
        except sqlite3.Error as failed:
            self._refused(failed)
            return None

    def _tick(self) -> None:
        now = time.monotonic()
        if now - self._asked >= _AGAIN_MS / 1000:
            self._asked = now
            if self._chosen() != self.folders:
                self.look()
                return
        self._start([one for one in self._looks.values() if now >= one.due])
        self._tell()

    def _start(self, wanted: list[_Folder]) -> None:
        for one in wanted:
            if not one.busy:
                one.look(check=not self._checked)
                self._checked = True

    def _progress(self, _folder: object) -> None:
        done, of = (sum(part) for part in zip(*(one.progress for one in self._looks.values()), strict=True))
        self.told.emit(done / of if of else None)
        cost = time.monotonic()
        if cost - self._shown > _SHOWN_AGAIN:
            self.read()
            # A long list takes its time to be shown: no more than a tenth of what there is.
            self._shown += 9 * (time.monotonic() - cost)

    def _looked(self, folder: _Folder, looked: Looked) -> None:
        self._refusal = ""
        if looked.changed or not folder.shown:
            folder.shown = True
            self.read()
        self._tell()
        self._progress_ends()

    def _failed(self, _folder: object, error: object) -> None:
        self._not_kept(error)
        self._progress_ends()

    def _progress_ends(self) -> None:
        if not any(one.progress[1] for one in self._looks.values()):
            self.told.emit(None)

    def _not_kept(self, error: object) -> None:
        if not isinstance(error, (sqlite3.Error, OSError)):
            raise error  # type: ignore[misc]
        self._refused(error)

    def _tell(self) -> None:
        """Say what has changed of what is to be said of folders."""
        told = tuple(words for one in self._looks.values() for words in one.told_of)
        if self._refusal:
            told = (*told, self._refusal)
        if told != self.troubles:
            self.troubles = told
            self.changed.emit()

    def _refused(self, error: Exception) -> None:
        """Say why the list cannot be kept; one that is broken is begun anew."""
        if isinstance(error, sqlite3.DatabaseError) and not isinstance(error, sqlite3.OperationalError):
            self._close()
            begin_anew(self._file)
            return
        self._refusal = tr("The list cannot be kept in {file}: {error}.", file=self._file, error=error)
        self._tell()

    def _close(self) -> None:
        if self._index is not None:
            self._index.close()
            self._index = None
