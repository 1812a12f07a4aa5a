"""Laps in parts on several cores: the same bits on any number, and nobody left behind."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from dataclasses import fields
from pathlib import Path
from typing import IO

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.drive.lap import cores
from gearplan.drive.lap.cores import Figures, ride_parts
from gearplan.drive.lap.lap import lap_times
from gearplan.drive.lap.rules import USUAL, LapRules
from gearplan.drive.lap.state import Laps
from gearplan.drive.motion.machines import Machines
from gearplan.plan.choices.space import default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import lap_sets, machines

CIRCUIT = demo_circuit("Heronfleet").circuit
_SETS = lap_sets(demo_bike().bike, default_space(demo_bike().bike, fronts=(15, 16), rears=(40, 45)))
assert not isinstance(_SETS, Finding)
SETS = _SETS
PARTS = [np.arange(k, k + 3) for k in range(0, 12, 3)]


def made(part: int) -> Machines:
    return machines(SETS, PARTS[part])


def ridden(on: int) -> dict[int, Figures]:
    found: dict[int, Figures] = {}

    def took(part: int, figures: Figures) -> bool:
        assert part not in found
        found[part] = figures
        return True

    ride_parts(len(PARTS), made, CIRCUIT, USUAL, took, on)
    return found


def same(one: dict[int, Figures], other: dict[int, Figures]) -> bool:
    return sorted(one) == sorted(other) == list(range(len(PARTS))) and all(
        np.array_equal(getattr(one[part], f.name), getattr(other[part], f.name))
        for part in one
        for f in fields(Figures)
    )


def let_helpers_first(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Here nothing is ridden before a helper has answered or failed; counts the rides here."""
    plain, load, answered = lap_times, pickle.load, threading.Event()
    rides: list[int] = []

    def waiting(machines: Machines, circuit: Circuit, rules: LapRules) -> Laps:
        answered.wait(60)
        rides.append(1)
        return plain(machines, circuit, rules)

    def loading(source: IO[bytes]) -> object:
        try:
            return load(source)
        finally:
            answered.set()

    monkeypatch.setattr("gearplan.drive.lap.cores.lap_times", waiting)
    monkeypatch.setattr("gearplan.drive.lap.cores.pickle.load", loading)
    return rides


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[bytes]]:
    """The helpers that were started."""
    found: list[subprocess.Popen[bytes]] = []
    plain = subprocess.Popen

    def popen(*given: object, **more: object) -> subprocess.Popen[bytes]:
        found.append(plain(*given, **more))  # type: ignore[call-overload]
        return found[-1]

    monkeypatch.setattr(cores.subprocess, "Popen", popen)  # type: ignore[attr-defined]
    return found


def test_any_number_of_cores_gives_the_same_bits(
    started: list[subprocess.Popen[bytes]], monkeypatch: pytest.MonkeyPatch
) -> None:
    one = ridden(1)
    assert not started
    for on in (2, 3):
        with monkeypatch.context() as patched:
            rides = let_helpers_first(patched)
            assert same(one, ridden(on))
            assert len(rides) < len(PARTS)
    assert len(started) == 3
    assert all(process.poll() is not None for process in started)


def test_a_stop_leaves_no_helper(started: list[subprocess.Popen[bytes]], monkeypatch: pytest.MonkeyPatch) -> None:
    let_helpers_first(monkeypatch)
    told: list[int] = []
    ride_parts(len(PARTS), made, CIRCUIT, USUAL, lambda part, _: bool(told.append(part)), 3)
    assert len(told) == 1
    assert len(started) == 2
    assert all(process.poll() is not None for process in started)


@pytest.mark.parametrize("program", ["/no/such/program", sys.executable + " "])
def test_helpers_that_cannot_start_are_done_without(program: str, monkeypatch: pytest.MonkeyPatch) -> None:
    one = ridden(1)
    monkeypatch.setattr(cores.sys, "executable", program)  # type: ignore[attr-defined]
    assert same(one, ridden(3))


def test_a_part_of_a_helper_that_fails_is_ridden_here(monkeypatch: pytest.MonkeyPatch) -> None:
    one = ridden(1)
    let_helpers_first(monkeypatch)
    # It says that it is there, takes a part and is gone.
    monkeypatch.setattr(cores, "_START", "import sys; print(end='.', flush=True); sys.stdin.buffer.read(999)#{path}")
    assert same(one, ridden(2))


_KILLED = """
import sys
from tests.drive.lap import test_cores as t
def took(part, figures):
    print(t.cores.last.pid, flush=True)
    import time; time.sleep(60)
plain = t.cores.subprocess.Popen
def popen(*given, **more):
    t.cores.last = plain(*given, **more)
    return t.cores.last
t.cores.subprocess.Popen = popen
t.ride_parts(4, t.made, t.CIRCUIT, t.USUAL, took, 2)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
@pytest.mark.parametrize("by", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_a_program_that_ends_leaves_no_helper(by: signal.Signals) -> None:
    root = str(Path(__file__).parents[3])
    with subprocess.Popen(
        [sys.executable, "-c", _KILLED], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, cwd=root
    ) as program:
        assert program.stdout is not None
        helper = int(program.stdout.readline())
        program.send_signal(by)
        program.wait()
    while _there(helper):
        time.sleep(0.02)


def _there(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    # One whose parent is gone may wait for init to notice.
    return Path(f"/proc/{pid}/stat").exists() and Path(f"/proc/{pid}/stat").read_text().split()[2] != "Z"
