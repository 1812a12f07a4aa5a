"""Long work off the window's own thread, with progress and cancel; a result nobody waits for is dropped."""

from __future__ import annotations

import threading
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

#: Told how much of how much is done; returns whether to go on.
Progress = Callable[[int, int], bool]


class Background(QObject):
    """Runs one piece of work at a time; starting another gives up the last.

    `done` carries the result, `failed` the exception of work that was not given up, `progressed` (done, of how much).
    """

    done = Signal(object)
    failed = Signal(object)
    progressed = Signal(int, int)
    _told = Signal(int, str, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._current = 0
        self._threads: list[threading.Thread] = []
        self.busy = False
        self._told.connect(self._take)

    def start(self, work: Callable[[Progress], object]) -> None:
        """Begin; `work` is called with a progress function, on another thread, and must not touch the window."""
        self._current += 1
        self.busy = True
        thread = threading.Thread(target=self._run, args=(self._current, work), daemon=True)
        self._threads = [one for one in self._threads if one.is_alive()] + [thread]
        thread.start()

    def cancel(self) -> None:
        """Nobody waits any more."""
        self._current += 1
        self.busy = False

    def finish(self) -> None:
        """Cancel and wait until no thread is left; before the window goes."""
        self.cancel()
        for thread in self._threads:
            thread.join(10)
        self._threads = []

    def _run(self, number: int, work: Callable[[Progress], object]) -> None:
        def progress(at: int, of: int) -> bool:
            if number == self._current:
                self._told.emit(number, "progress", (at, of))
            return number == self._current

        try:
            kind, result = "done", work(progress)
        except Exception as failed:
            kind, result = "failed", failed
        try:
            self._told.emit(number, kind, result)
        except RuntimeError:
            # The window is gone.
            return

    def _take(self, number: int, kind: str, result: object) -> None:
        if number != self._current:
            return
        if kind == "progress":
            assert isinstance(result, tuple)
            self.progressed.emit(*result)
            return
        self.busy = False
        (self.done if kind == "done" else self.failed).emit(result)
