"""Files are written beside the window's thread, one after the other: a slow disk or network folder holds nobody up."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from gearplan.bike.files.bikefile import ChangedOnDisk
from gearplan.bike.files.circuitfile import CircuitChangedOnDisk
from gearplan.language import tr
from gearplan.window.kit.waiting import ended

#: What takes no longer needs no words (s).
AT_ONCE = 0.5


@dataclass(eq=False)
class Save:
    """One file to be written.

    `begin` is asked in the window's thread, when its turn has come, for the work of the other thread; it is given
    whether to go over what somebody else has written there. One of `written`, with what the work gave, and `failed` is
    called at the end, in the window's thread.
    """

    path: Path
    begin: Callable[[bool], Callable[[], object]]
    written: Callable[[object], None]
    failed: Callable[[Exception], None]
    #: Whether it is on the disk; None as long as that is open.
    done: bool | None = None
    over: bool = False
    _thread: threading.Thread | None = None
    _found: list[object] = field(default_factory=list)


class Saving(QObject):
    """Writes in the order in which it was asked. `ask` says whether to replace what somebody else has changed."""

    _ended = Signal(object)

    def __init__(self, window: QWidget, ask: Callable[[str], bool], say: Callable[[str], None]) -> None:
        super().__init__(window)
        self._window, self._ask, self._say = window, ask, say
        self._queue: list[Save] = []
        self._asking = False
        self._ended.connect(self._take)

    @property
    def busy(self) -> bool:
        """Whether something is still to be written."""
        return bool(self._queue)

    def save(self, one: Save, *, wait: bool) -> bool:
        """Write it; True if it is on the disk. Without `wait` a slow one is left to itself, and told when it ends."""
        self._queue.append(one)
        if len(self._queue) == 1:
            self._begin()
        while one.done is None:
            if self._asking:
                # It goes on when the question is answered.
                return False
            thread = self._queue[0]._thread
            assert thread is not None
            thread.join(AT_ONCE)
            if not thread.is_alive():
                if self._queue and self._queue[0]._thread is thread:
                    self._take(self._queue[0])
            elif not wait:
                self._say(tr("Saving {path} …", path=one.path))
                return False
            elif not self._waited(thread, self._queue[0].path):
                return False
        return one.done

    def settle(self) -> bool:
        """Wait until all is written; False if whoever sits there would rather not."""
        while self._queue and not self._asking:
            thread = self._queue[0]._thread
            assert thread is not None
            thread.join(AT_ONCE)
            if thread.is_alive() and not self._waited(thread, self._queue[0].path):
                return False
            if not self._asking and self._queue and self._queue[0]._thread is thread:
                self._take(self._queue[0])
        return not self._queue

    def _begin(self) -> None:
        one = self._queue[0]
        found: list[object] = []
        work: Callable[[], object] | None = None
        try:
            work = one.begin(one.over)
        except ValueError as refused:
            found.append(refused)

        def run() -> None:
            try:
                if work is not None:
                    found.append(work())
            except Exception as failed:
                found.append(failed)
            try:
                self._ended.emit(one)
            except RuntimeError:
                # The window is gone; nobody listens.
                return

        one._found, one._thread = found, threading.Thread(target=run, daemon=True)
        one._thread.start()

    def _take(self, given: object) -> None:
        """What a thread has found, once."""
        one = cast("Save", given)
        if one.done is not None or not self._queue or self._queue[0] is not one or not one._found:
            return
        found = one._found.pop()
        if isinstance(found, (ChangedOnDisk, CircuitChangedOnDisk)) and not one.over:
            self._asking = True
            agreed = self._ask(tr("{found}\nReplace what is there now?", found=found))
            self._asking = False
            if agreed:
                one.over = True
                self._begin()
                return
            one.done = False
        elif isinstance(found, Exception):
            one.done = False
            one.failed(found)
        else:
            one.done = True
            one.written(found)
        self._queue.pop(0)
        if self._queue:
            self._begin()

    def _waited(self, thread: threading.Thread, path: Path) -> bool:
        """Wait with words until the thread has ended; False if that is given up."""
        return ended(thread, tr("Saving"), tr("Saving {name} …", name=path.name), tr("Do not wait"), self._window)
