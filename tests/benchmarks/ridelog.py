"""Times reading an hour of ride log at 100 Hz and all that is told from it against the bare parse of the same file,
with the memory that it takes."""

from __future__ import annotations

import csv
import tempfile
import time
from pathlib import Path

import numpy as np

from gearplan.bike.demo import demo_bike
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, pull
from gearplan.ridelog.demolog import Logger, csv_text, demo_ride, recorded
from gearplan.ridelog.reading.opening import read_log
from gearplan.ridelog.telling.learned import learn

_TURNS = 5


def memory_mb() -> float:
    """The most memory since this program was started; the resource module would count the parent's too."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    [most] = [line.split()[1] for line in lines if line.startswith("VmHWM")]
    return int(most) / 1024


def written(path: Path) -> None:
    """An hour at 100 Hz: time, engine speed, road speed, satellite speed, gear, throttle."""
    bike = demo_bike().bike
    known = pull(bike, fitted(bike))
    assert isinstance(known, Pull)
    motion = demo_ride(known.machine, known.road, 1, minutes=60)
    path.write_text(csv_text(recorded(motion, 1, Logger(rate=100, gps=True))), encoding="utf-8")


def bare(path: Path) -> float:
    """Seconds of the processor that numpy's own parser takes for the same numbers, with nan in the empty cells."""
    lines = path.read_text(encoding="utf-8").splitlines()[1:]
    filled = [",".join(cell or "nan" for cell in line.split(",")) for line in lines]
    begun = time.process_time()
    np.loadtxt(filled, delimiter=",")
    return time.process_time() - begun


def texts(path: Path) -> float:
    """Seconds of the processor that the csv module takes to part the cells, without making numbers of them."""
    begun = time.process_time()
    with path.open(newline="", encoding="utf-8") as file:
        for _ in csv.reader(file):
            pass
    return time.process_time() - begun


def report(path: Path) -> dict[str, float]:
    """Best seconds of reading and of telling and what they are to the bare parse, taken in turn; rows; and the memory
    of the first turn beyond what was there, over the file's size.

    Time is the processor's, so that what else runs on the machine counts less.
    """
    bike = demo_bike().bike
    before, most = memory_mb(), 0.0
    reading, telling, parsing, parting, rows = [], [], [], [], 0
    for _ in range(_TURNS):
        begun = time.process_time()
        log = read_log(path)
        read = time.process_time()
        learn(log, bike)
        reading.append(read - begun)
        telling.append(time.process_time() - read)
        most = most or memory_mb()
        rows = log.rows
        del log
        parsing.append(bare(path))
        parting.append(texts(path))
    both = min(a + b for a, b in zip(reading, telling, strict=True))
    return {
        "rows of ride log": rows,
        "ride log read, s": min(reading),
        "ride log told, s": min(telling),
        "ride log read and told, s": both,
        "bare parse by numpy, s": min(parsing),
        "read and told, ratio to it": both / min(parsing),
        "cells parted by the csv module, s": min(parting),
        "memory over the file's size": (most - before) / (path.stat().st_size / 2**20),
    }


if __name__ == "__main__":
    import subprocess
    import sys

    if len(sys.argv) > 1:
        for label, figure in report(Path(sys.argv[1])).items():
            print(f"{label}\t{figure:.3f}")
    else:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "hour.csv"
            written(file)
            # A process of its own: the memory of writing the file is not that of reading it.
            subprocess.run([sys.executable, "-m", "tests.benchmarks.ridelog", str(file)], check=True)
