"""All figures in one run, each beside its aim: python -m tests.benchmarks [--keep] [PART ...], from the project's root.

Times are of the processor, so that what else runs on the machine counts less, and most are ratios to a bare thing that
is measured in turn, so that the machine cancels out. Ends with 1 where an aim is not met. --keep adds the figures to
the trend file, against which later ones are held.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile

from gearplan import __version__
from tests.benchmarks import aims

_TURNS = 9
_PARTS = ("start", "numbers", "work", "laps", "ridelog")


#: Compiled modules are kept for the run: a program is compiled when it is installed, not at each start.
_COMPILED = tempfile.TemporaryDirectory()


def _run(*arguments: str) -> subprocess.CompletedProcess[str]:
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return subprocess.run(
        [sys.executable, *arguments],
        env=kept | {"PYTHONPYCACHEPREFIX": _COMPILED.name},
        capture_output=True,
        text=True,
        check=True,
    )


def _told(*arguments: str) -> str:
    return _run(*arguments).stdout


def _seconds(program: str) -> float:
    """What a program tells last on its standard error."""
    return float(_run("-c", program).stderr.splitlines()[-1])


def start() -> dict[str, float]:
    """Until the window can be used and its chart is painted, over a bare window with one plot."""
    bare, usable, charted = [], [], []
    for _ in range(_TURNS):
        bare.append(float(_told("-m", "tests.benchmarks.bare")))
        first, last = map(float, _told("-m", "tests.benchmarks.start").split())
        usable.append(first)
        charted.append(last)
    yardstick = statistics.median(bare)
    found = {"bare window with one plot painted, ms": 1e3 * yardstick}
    for name, taken in (("first usable paint", usable), ("chart painted", charted)):
        found[f"{name}, ms"] = 1e3 * statistics.median(taken)
        found[f"{name}, ratio to the bare window"] = statistics.median(taken) / yardstick
    return found


def numbers() -> dict[str, float]:
    """The whole command for a demo bike over the bare import of numpy."""
    tell = "import sys, time; print(time.process_time(), file=sys.stderr)"
    command = "import sys; from gearplan.__main__ import main; sys.argv[1:] = ['numbers']; main()"
    bare, whole = [], []
    for _ in range(_TURNS):
        bare.append(_seconds(f"import numpy; {tell}"))
        whole.append(_seconds(f"{command}; {tell}"))
    return {
        "bare import of numpy, ms": 1e3 * statistics.median(bare),
        "numbers, ms": 1e3 * statistics.median(whole),
        "numbers, ratio to the bare import": statistics.median(whole) / statistics.median(bare),
    }


def other(part: str) -> dict[str, float]:
    """The figures that a module of this folder prints, a line each."""
    lines = (line.split("\t") for line in _told("-m", f"tests.benchmarks.{part}").splitlines())
    return {name: float(figure) for name, figure, *_ in lines}


def main() -> int:
    """Print the table; returns the exit code."""
    asked = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    asked.add_argument("parts", nargs="*", metavar="PART", help=f"one of {', '.join(_PARTS)}; all without")
    asked.add_argument("--keep", action="store_true", help="add the figures to the trend file")
    given = asked.parse_args()
    figures: dict[str, float] = {}
    missed = 0
    print("measure\tfound\taim\t")
    for part in given.parts or _PARTS:
        found = {"start": start, "numbers": numbers}.get(part, lambda part=part: other(part))()
        for row in aims.rows(found):
            print(row.line(), flush=True)
            missed += not row.met
        figures |= found
    print(f"{missed} of {sum(aims.aim(name) is not None for name in figures)} aims are not met")
    if given.keep:
        aims.keep(figures, __version__)
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
