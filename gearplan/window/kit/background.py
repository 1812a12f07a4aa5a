"""Work beside the window: with progress and cancel, and only the newest answer counts."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from PySide6.QtCore import QObject, Signal


class Tell(Protocol):
    """How work tells how far it is (0 to 1), and in words what it has done, if there is anything to say."""

    def __call__(self, share: float, words: str = "", /) -> None:
        """Tell."""


#: Work is given ways to tell how far it is and to ask whether it is wanted no more.
Unwanted = Callable[[], bool]
Work = Callable[[Tell, Unwanted], object]


#: Seconds that closing waits for work to notice; its threads end with the program in any case.
_LAST_WAIT = 3.0


@dataclass(slots=True)
class _Job:
    number: int
    unwanted: threading.Event = field(default_factory=threading.Event)


class Background(QObject):
    """Does one piece of work at a time in a thread. A newer one, or `cancel`, makes what runs unwanted: its answer and
    its complaints are dropped.

    `progressed` carries 0 to 1 and the words that were told, `done` the answer, `failed` the exception. All arrive in
    the window's thread.
    """

    progressed = Signal(float, str)
    done = Signal(object)
    failed = Signal(object)
    _told = Signal(int, str, object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._job: _Job | None = None
        self._count = 0
        self._threads: list[threading.Thread] = []
        self._told.connect(self._arrived)

    @property
    def busy(self) -> bool:
        """Whether wanted work is under way."""
        return self._job is not None

    def start(self, work: Work) -> None:
        """Begin; whatever ran before is no longer wanted."""
        self.cancel()
        self._count += 1
        job = self._job = _Job(self._count)
        thread = threading.Thread(target=self._run, args=(job, work), daemon=True)
        self._threads = [one for one in self._threads if one.is_alive()] + [thread]
        thread.start()

    def cancel(self) -> None:
        """Nothing of what runs is wanted any more."""
        if self._job is not None:
            self._job.unwanted.set()
            self._job = None

    def finish(self) -> None:
        """Cancel and wait until no thread is left; before the window goes."""
        self.cancel()
        until = time.monotonic() + _LAST_WAIT
        for thread in self._threads:
            thread.join(max(until - time.monotonic(), 0.0))
        self._threads = []

    def _run(self, job: _Job, work: Work) -> None:
        def progress(share: float, words: str = "", /) -> None:
            self._tell(job, "progress", (share, words))

        try:
            answer = work(progress, job.unwanted.is_set)
        except Exception as failed:
            self._tell(job, "failed", failed)
        else:
            self._tell(job, "done", answer)

    def _tell(self, job: _Job, what: str, value: object) -> None:
        if not job.unwanted.is_set():
            try:
                self._told.emit(job.number, what, value)
            except RuntimeError:
                # The window is gone; nobody listens.
                job.unwanted.set()

    def _arrived(self, number: int, what: str, value: object) -> None:
        if self._job is None or number != self._job.number:
            return
        if what == "progress":
            assert isinstance(value, tuple)
            self.progressed.emit(*value)
            return
        self._job = None
        (self.done if what == "done" else self.failed).emit(value)
