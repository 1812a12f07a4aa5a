"""When unsaved work is kept aside: a moment after each change, however busy the hands, beside the window's thread."""

from __future__ import annotations

import threading

from PySide6.QtCore import QObject, QTimer, Signal

from gearplan.window.document.document import Document

from . import recovery

#: The copy on the disk is no older than this and the time that the disk takes.
_AFTER_MS = 1500


class Keeping(QObject):
    """Keeps aside what is unsaved in a document; `failed` carries why it cannot."""

    failed = Signal(object)

    def __init__(self, document: Document, parent: QObject) -> None:
        super().__init__(parent)
        self._document = document
        self._writing: threading.Thread | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_AFTER_MS)
        self._timer.timeout.connect(self._keep)
        for changed in (document.changed, document.file_changed, document.unread_changed):
            changed.connect(self._soon)

    def stop(self) -> None:
        """The work is saved or given up."""
        self._timer.stop()

    def _soon(self) -> None:
        # The next change does not put it off.
        if not self._timer.isActive():
            self._timer.start()

    def _keep(self) -> None:
        if self._writing is not None and self._writing.is_alive():
            self._timer.start()
            return
        self._writing = threading.Thread(target=self._put, args=(recovery.pieces(self._document),), daemon=True)
        self._writing.start()

    def _put(self, pieces: recovery.Pieces) -> None:
        try:
            recovery.put(pieces)
        except OSError as why:
            try:
                self.failed.emit(why)
            except RuntimeError:
                # The window is gone; nobody listens.
                return
