"""Times reading an hour of ride log at 100 Hz and all that is told from it, with the memory that it takes."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from gearplan.bike.demo import demo_bike
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, pull
from gearplan.ridelog.demolog import Logger, csv_text, demo_ride, recorded
from gearplan.ridelog.learning.learned import learn
from gearplan.ridelog.reading.opening import read_log

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


def report(path: Path) -> dict[str, float]:
    """Best seconds of reading and of telling, rows, and memory beyond what was there, over the file's size."""
    bike = demo_bike().bike
    before = memory_mb()
    reading, telling, rows = [], [], 0
    for _ in range(_TURNS):
        begun = time.perf_counter()
        log = read_log(path)
        read = time.perf_counter()
        learn(log, bike)
        reading.append(read - begun)
        telling.append(time.perf_counter() - read)
        rows = log.rows
        del log
    size = path.stat().st_size / 2**20
    return {
        "rows of ride log": rows,
        "ride log read, s": min(reading),
        "ride log told, s": min(telling),
        "ride log read and told, s": min(a + b for a, b in zip(reading, telling, strict=True)),
        "memory over the file's size": (memory_mb() - before) / size,
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
