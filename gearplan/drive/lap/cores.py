"""Many laps in parts, on as many cores as there are: the same bits on any number of them, for the parts are the same.

Threads gain nothing here: what numpy does at a time is too short for two of them. So a helper is a process of its own,
which is handed machines through its standard input and writes figures to its standard output, both pickled. It ends
when its input does, thus also when the program is killed. A helper that fails costs time only: its part is ridden here.
"""

from __future__ import annotations

import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
from collections import deque
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.rules import LapRules, gears_used
from gearplan.drive.lap.state import Laps
from gearplan.drive.motion.machines import Floats, Ints, Machines

#: More helpers would wait for their machines.
_MOST_CORES = 8
_START = "import sys; sys.path[:] = {path!r}; from gearplan.drive.lap.cores import serve; serve()"


@dataclass(frozen=True, eq=False, slots=True)
class Figures:
    """What a ranking needs of laps; every array has the shape [set].

    `margin` is how much faster than its greatest speed the last gear goes at the limiter, a share; `stuck` marks those
    that cannot climb some section.
    """

    time: Floats
    up_shifts: Ints
    leaned_shifts: Ints
    limiter: Floats
    margin: Floats
    stuck: NDArray[np.bool_]


def figures(machines: Machines, laps: Laps, rules: LapRules) -> Figures:
    """The figures of the laps of some machines."""
    last = gears_used(machines.gears, rules)[-1]
    return Figures(
        laps.time,
        laps.shifts.sum(axis=0),
        laps.leaned_shifts.sum(axis=0),
        laps.limiter.sum(axis=0),
        machines.limit_speed[:, last] / laps.peak.max(axis=0) - 1,
        np.asarray(laps.cannot_climb.any(axis=0)),
    )


def cores() -> int:
    """How many cores this process may use for laps, at most 8."""
    if getattr(sys, "frozen", False):
        # What such a program starts of itself is no Python that takes code.
        return 1
    there = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(there, _MOST_CORES)


def ride_parts(
    count: int,
    made: Callable[[int], Machines],
    circuit: Circuit,
    rules: LapRules,
    took: Callable[[int, Figures], bool],
    on: int,
) -> None:
    """Ride so many parts `on` so many cores; `made` gives the machines of one, `took` is told what came of it.

    `took` is called here, in whatever order parts are done, and returns whether to go on. `made` is called from several
    threads. When this returns or raises, no helper is left.
    """
    waiting, done = deque(range(count)), queue.SimpleQueue[tuple[int, Figures | None]]()
    helpers = [_Helper(waiting, made, (circuit, rules), done) for _ in range(min(on, count) - 1)]

    def ride(part: int) -> Figures:
        machines = made(part)
        return figures(machines, lap_times(machines, circuit, rules), rules)

    try:
        for _ in range(count):
            if done.empty() and (part := _next(waiting)) is not None:
                done.put((part, ride(part)))
            part, found = done.get()
            if not took(part, ride(part) if found is None else found):
                return
    finally:
        waiting.clear()
        for helper in helpers:
            helper.end()


def _next(waiting: deque[int]) -> int | None:
    try:
        return waiting.popleft()
    except IndexError:
        return None


class _Helper:
    """One process beside this one, and the thread that hands it part after part."""

    def __init__(
        self,
        waiting: deque[int],
        made: Callable[[int], Machines],
        ride: tuple[Circuit, LapRules],
        done: queue.SimpleQueue[tuple[int, Figures | None]],
    ) -> None:
        self._waiting, self._made, self._ride, self._done = waiting, made, ride, done
        self._process: subprocess.Popen[bytes] | None = None
        self._over, self._lock = False, threading.Lock()
        self._thread = threading.Thread(target=self._hand_out, daemon=True)
        self._thread.start()

    def end(self) -> None:
        """Nothing more is wanted; afterwards the process is gone."""
        with self._lock:
            self._over = True
            if self._process is not None:
                self._process.kill()
        self._thread.join()

    def _hand_out(self) -> None:
        part = None
        try:
            with self._lock:
                if self._over:
                    return
                self._process = process = subprocess.Popen(
                    [sys.executable, "-I", "-c", _START.format(path=sys.path)],
                    stdin=subprocess.PIPE,
                    stdout=subprocess.PIPE,
                    stderr=subprocess.DEVNULL,
                    **_apart(),
                )
        except OSError:
            return
        # What is left in the buffer for one that was ended cannot be written any more.
        with suppress(OSError), process:
            assert process.stdin is not None
            assert process.stdout is not None
            try:
                pickle.dump(self._ride, process.stdin)
                # Only one that is there takes a part.
                process.stdin.flush()
                process.stdout.read(1)
                while not self._over and (part := _next(self._waiting)) is not None:
                    pickle.dump(self._made(part), process.stdin)
                    process.stdin.flush()
                    self._done.put((part, pickle.load(process.stdout)))
            except Exception:
                # Whatever it is: if it is not this process alone, riding the part here says so.
                if part is not None:
                    self._done.put((part, None))
            finally:
                process.kill()


def _apart() -> dict[str, Any]:
    """So that Ctrl+C in a terminal reaches this process only, and no window opens for a helper."""
    if sys.platform == "win32":
        return {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW}
    return {"process_group": 0}


def serve() -> None:
    """Be a helper: ride what comes until nothing comes any more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    given, answers = sys.stdin.buffer, sys.stdout.buffer
    try:
        circuit, rules = pickle.load(given)
        answers.write(b".")
        answers.flush()
        while True:
            machines = pickle.load(given)
            pickle.dump(figures(machines, lap_times(machines, circuit, rules), rules), answers)
            answers.flush()
    except (EOFError, OSError):
        # Nobody is there any more; what is left in the buffer goes nowhere.
        os._exit(0)
