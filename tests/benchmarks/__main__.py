"""All figures in one run: python -m tests.benchmarks, from the project's root.

Start-up is given as a ratio to a bare window with one plot, both started in turn, so that the machine cancels out.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

_TURNS = 9


def seconds(module: str) -> list[float]:
    told = subprocess.run(
        [sys.executable, "-m", module, repr(time.monotonic())], capture_output=True, text=True, check=True
    )
    return [float(word) for word in told.stdout.split()]


def main() -> None:
    bare, usable, charted = [], [], []
    for _ in range(_TURNS):
        bare += seconds("tests.benchmarks.bare")
        first, last = seconds("tests.benchmarks.start")
        usable.append(first)
        charted.append(last)
    yardstick = statistics.median(bare)
    print(f"bare window with one plot painted, median ms\t{1e3 * yardstick:.0f}")
    for name, taken in (("first usable paint", usable), ("chart painted", charted)):
        print(f"{name}, median ms\t{1e3 * statistics.median(taken):.0f}")
        print(f"{name}, ratio to the bare window\t{statistics.median(taken) / yardstick:.2f}", flush=True)
    subprocess.run([sys.executable, "-m", "tests.benchmarks.work"], check=True)
    subprocess.run([sys.executable, "-m", "tests.benchmarks.ridelog"], check=True)


if __name__ == "__main__":
    main()
