"""One input into one reader: what it answers, how long that takes and how much memory."""

from __future__ import annotations

import os
import random
import resource
import signal
import sys
import time
import traceback
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from tests.robustness.campaign.readers import Reader

#: Seconds of the processor after which an input is given up.
_TOO_LONG = 60
#: Nothing that is told to a person is longer.
LONGEST_MESSAGE = 300
#: What no input below 1 MB may take: seconds of the processor, and megabytes beside what was there.
SLOW_S, HUNGRY_MB = 2.0, 300.0


class TooLong(BaseException):
    """An input that is not done with in a minute."""


@dataclass(slots=True)
class Tally:
    """What a reader did with its inputs; `finds` holds the first input of each fault, by what it is."""

    inputs: int = 0
    refused: int = 0
    slowest: float = 0.0
    hungriest: float = 0.0
    faults: int = 0
    finds: dict[str, tuple[str, bytes, str]] = field(default_factory=dict)

    def note(self, what: str, ending: str, data: bytes, told: str) -> None:
        """One more fault."""
        self.faults += 1
        self.finds.setdefault(what, (ending, data, told))


def run(reader: Reader, count: int, seed: int, folder: Path) -> Tally:
    """Give a reader so many inputs; the same seed gives the same."""
    tally, chance = Tally(), random.Random(f"{reader.name} {seed}")
    for _ in range(count):
        attempt(reader, *reader.made(chance), folder, tally)
    return tally


def attempt(reader: Reader, ending: str, data: bytes, folder: Path, tally: Tally) -> None:
    """Give a reader one input; a refusal in words is right, all else is noted."""
    path = folder / f"input{ending}"
    path.write_bytes(data)
    tally.inputs += 1
    held, begun = _most_memory(afresh=True), time.process_time()
    try:
        with _no_longer_than(_TOO_LONG), warnings.catch_warnings():
            warnings.simplefilter("error")
            reader.read(path)
    except reader.refusals as refused:
        tally.refused += 1
        if len(str(refused).removeprefix(f"{path}: ")) > LONGEST_MESSAGE:
            tally.note("a message without end", ending, data, str(refused)[:2000])
    except TooLong:
        tally.note("no end in sight", ending, data, "")
    except Exception as failed:
        tally.note(f"{type(failed).__name__} at {_place(failed)}", ending, data, traceback.format_exc())
    took, more = time.process_time() - begun, _most_memory() - held
    tally.slowest, tally.hungriest = max(tally.slowest, took), max(tally.hungriest, more)
    if took > SLOW_S:
        tally.note(f"slow: {took:.0f} s", ending, data, f"{took:.2f} s")
    if more > HUNGRY_MB:
        tally.note(f"hungry: {more:.0f} MB", ending, data, f"{more:.0f} MB")


def _place(failed: Exception) -> str:
    """Where in the program it was raised."""
    frames = [
        frame
        for frame in traceback.extract_tb(failed.__traceback__)
        if f"{os.sep}gearplan{os.sep}" in frame.filename or "campaign" in frame.filename
    ]
    return f"{Path(frames[-1].filename).name}:{frames[-1].name}" if frames else "?"


def _most_memory(*, afresh: bool = False) -> float:
    """The most memory that this process has held, in MB; `afresh` counts from now on where the system can."""
    if sys.platform != "linux":
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
    try:
        if afresh:
            Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
        status = Path("/proc/self/status").read_text(encoding="ascii")
        return int(next(line.split()[1] for line in status.splitlines() if line.startswith("VmHWM"))) / 1024
    except (OSError, StopIteration):
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


@contextmanager
def _no_longer_than(seconds: float) -> Iterator[None]:
    def ring(_number: int, _frame: FrameType | None) -> None:
        raise TooLong

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
