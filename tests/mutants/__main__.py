"""How many small faults the tests notice: `python -m tests.mutants --most 60 drive setup plan/chain plan/set`.

Runs the tests once to learn which of them reach which module, then writes a fault into a copy of the project, runs
the tests that reach its line, and counts. A fault is noticed when a test fails or hangs. The choice of faults is
random but the same for the same seed. Prints each fault that survives, then the share that was noticed.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import Queue
from typing import Any

import coverage
import pytest

from tests.mutants.changes import Mutant, mutants, users

ROOT = Path(__file__).parents[2]
TESTS = (
    "tests/drive",
    "tests/setup",
    "tests/plan/chain",
    "tests/plan/set",
    "tests/plan/pull",
    "tests/plan/test_words.py",
    "tests/reference",
    "tests/commands/test_numbers.py",
)
#: Seconds of tests after those that reach the very line; results kept from an earlier test hide who needs a line.
_MORE = 30.0


@dataclass(frozen=True, slots=True)
class Reach:
    """Which tests reach which line of which module, and how many seconds each takes."""

    lines: dict[str, dict[int, list[str]]]
    seconds: dict[str, float]

    def tests_for(self, module: str, line: int, users: list[int]) -> list[str]:
        """The tests to run for a fault: those of the line and of its users first, each kind the quickest first."""
        known = self.lines.get(module, {})
        of_line = {test for one in (line, *users) for test in known.get(one, ())}
        others = {test for tests in self.lines.get(module, {}).values() for test in tests} - of_line
        chosen, spent = sorted(of_line, key=self._time), 0.0
        for test in sorted(others, key=self._time):
            spent += self._time(test)
            if spent > _MORE:
                break
            chosen.append(test)
        return chosen

    def together(self, tests: list[str]) -> float:
        """Seconds that some tests take, one after another."""
        return sum(map(self._time, tests))

    def _time(self, test: str) -> float:
        return self.seconds.get(test, 0.0)


class _Recorder:
    def __init__(self, cover: coverage.Coverage) -> None:
        self.cover, self.seconds = cover, dict[str, float]()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self.cover.switch_context(item.nodeid)
        begun = time.perf_counter()
        found: Any = yield
        self.seconds[item.nodeid] = time.perf_counter() - begun
        return found


def record(target: Path) -> None:
    """Run the tests in this process and write what they reach; ends the process if one fails."""
    cover = coverage.Coverage(source=["gearplan"], data_file=None)
    cover.start()
    recorder = _Recorder(cover)
    there = [name for name in TESTS if (ROOT / name).exists()]
    if pytest.main(["-q", "-x", "-p", "no:cacheprovider", *there], plugins=[recorder]):
        sys.exit("the tests must pass before faults are counted")
    cover.stop()
    data = cover.get_data()
    lines = {
        str(Path(name).relative_to(ROOT)): {
            line: [c for c in contexts if c] for line, contexts in data.contexts_by_lineno(name).items()
        }
        for name in data.measured_files()
    }
    target.write_text(json.dumps({"lines": lines, "seconds": recorder.seconds}))


def reach() -> Reach:
    """What the tests reach, learned in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "reach.json"
        subprocess.run([sys.executable, "-m", "tests.mutants", "--record", str(target)], cwd=ROOT, check=True)
        return read_reach(target)


def read_reach(target: Path) -> Reach:
    """What `record` wrote."""
    known = json.loads(target.read_text())
    lines: dict[str, dict[int, list[str]]] = defaultdict(dict)
    for module, by_line in known["lines"].items():
        lines[module] = {int(line): tests for line, tests in by_line.items()}
    return Reach(lines, known["seconds"])


def noticed(copy: Path, module: str, mutant: Mutant, tests: list[str], seconds: float) -> bool:
    """Whether some test fails with the fault in a copy of the project."""
    target = copy / module
    original = target.read_text(encoding="utf-8")
    target.write_text(mutant.source, encoding="utf-8")
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider", *tests],
            cwd=copy,
            env={**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"},
            capture_output=True,
            timeout=60 + 8 * seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        target.write_text(original, encoding="utf-8")
    return done.returncode != 0


def chosen(room: str, most: int, seed: int, known: Reach) -> list[tuple[str, Mutant]]:
    """A random choice of the faults of a room; lines that no test reaches count like all others."""
    every = [
        (str(path.relative_to(ROOT)), mutant)
        for path in sorted((ROOT / "gearplan" / room).rglob("*.py"))
        for mutant in mutants(path.read_text(encoding="utf-8"))
    ]
    rng = random.Random(seed)
    return rng.sample(every, min(most, len(every)))


def main() -> None:
    """Count the faults that the tests notice."""
    asked = argparse.ArgumentParser(prog="python -m tests.mutants", description=__doc__)
    asked.add_argument("rooms", nargs="*", default=["drive", "setup", "plan/chain", "plan/set"])
    asked.add_argument("--most", type=int, default=60, help="faults a room")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    asked.add_argument("--record", type=Path, metavar="FILE", help="only write what the tests reach")
    asked.add_argument("--reach", type=Path, metavar="FILE", help="what was written so, instead of running the tests")
    given = asked.parse_args()
    if given.record:
        record(given.record)
        return
    known = read_reach(given.reach) if given.reach else reach()
    with tempfile.TemporaryDirectory() as folder:
        copies: Queue[Path] = Queue()
        for number in range(given.jobs):
            copy = Path(folder) / str(number)
            shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv*", "__pycache__"), symlinks=True)
            copies.put(copy)

        def judge(item: tuple[str, Mutant]) -> bool:
            module, mutant = item
            tests = known.tests_for(
                module, mutant.line, users((ROOT / module).read_text(encoding="utf-8"), mutant.line)
            )
            copy = copies.get()
            try:
                found = bool(tests) and noticed(copy, module, mutant, tests, known.together(tests))
            finally:
                copies.put(copy)
            if not found:
                print(f"survives: {module}:{mutant.line} {mutant.change}", flush=True)
            return found

        for room in given.rooms:
            faults = chosen(room, given.most, given.seed, known)
            with ThreadPoolExecutor(given.jobs) as pool:
                killed = sum(pool.map(judge, faults))
            print(f"{room}: {killed} of {len(faults)} noticed, {100 * killed / max(len(faults), 1):.0f} %", flush=True)


if __name__ == "__main__":
    main()
