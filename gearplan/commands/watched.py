"""A search on a terminal: one line on standard error says how far it is, and Ctrl+C keeps what is ranked."""

from __future__ import annotations

import shutil
import signal
import sys
import time
from types import FrameType, TracebackType
from typing import Self

from gearplan.language import tr
from gearplan.plan.laps.search import SoFar, so_far_text

#: What is done within so many seconds needs no words.
_LONG = 1.0
_CLEARED = "\r\033[K"


class Watched:
    """As long as it is entered the first Ctrl+C means "enough"; a second one ends the program."""

    def __init__(self) -> None:
        self._since, self._enough, self._written = time.monotonic(), False, False
        self._before = signal.getsignal(signal.SIGINT)

    def __enter__(self) -> Self:
        signal.signal(signal.SIGINT, self._stop)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, raised: BaseException | None, trace: TracebackType | None
    ) -> None:
        signal.signal(signal.SIGINT, self._before)
        if self._written:
            print(_CLEARED, end="", file=sys.stderr, flush=True)

    def told(self, now: SoFar) -> bool:
        """Write how far the search is; whether to go on."""
        took = time.monotonic() - self._since
        if sys.stderr.isatty() and took > _LONG:
            told = tr("{so_far_text} Ctrl+C: enough.", so_far_text=so_far_text(now, took))
            # A line that wraps could not be taken back.
            told = told[: shutil.get_terminal_size().columns - 1]
            print(_CLEARED + told, end="", file=sys.stderr, flush=True)
            self._written = True
        return not (self._enough and now.done)

    def _stop(self, _signal: int, _frame: FrameType | None) -> None:
        self._enough = True
        signal.signal(signal.SIGINT, self._before)
