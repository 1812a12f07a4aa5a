"""Laps cut from a ride, and the circuit made of one, against the truth of the generator."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import spearmanr

from gearplan.bike.circuit import Circuit, refusal
from gearplan.bike.files.circuitfile import circuit_text
from gearplan.bike.sections.doubts import doubts
from gearplan.bike.text.units import KMH
from gearplan.drive.lap.lap import lap_times
from gearplan.ridelog.demolog import Logger
from gearplan.ridelog.laps.laps import Laps, StartLine, find_laps
from gearplan.ridelog.laps.tocircuit import CutCircuit, circuit_of
from gearplan.ridelog.log import LogError, RideLog
from tests.reference.lapmotion import machines_of
from tests.ridelog.rides import BRINDLE, CIRCUIT, START, lapped, pulled, ride, truly


def cut(log: RideLog, laps: Laps) -> CutCircuit:
    assert laps.best is not None
    return circuit_of(log, laps, laps.best, "from the log")


@pytest.mark.parametrize("seed", range(6))
def test_lap_times_at_a_given_line_are_the_true_ones(seed: int) -> None:
    motion, log = lapped(seed)
    laps = find_laps(log, START)
    assert [lap.time for lap in laps.laps] == pytest.approx(np.diff(motion.laps).tolist(), abs=0.06)
    assert all(lap.length == pytest.approx(CIRCUIT.length_m, rel=4e-3) for lap in laps.laps)
    assert laps.best is not None
    assert laps.median is not None
    assert laps.best.time <= laps.median.time


@pytest.mark.parametrize("rate", [5.0, 10.0, 50.0])
def test_a_line_is_found_where_the_ride_passes_most_often(rate: float) -> None:
    motion, log = lapped(2, 5, 0.0, Logger(rate=rate))
    laps = find_laps(log)
    assert laps.line is not None
    assert len(laps.whole) >= 5
    inner = laps.laps[1:-1]
    assert [lap.time for lap in inner] == pytest.approx([np.diff(motion.laps)[1]] * len(inner), abs=0.08)


def test_lap_times_come_from_between_the_rows() -> None:
    """At five rows a second, the rows alone would be off by up to a fifth of a second."""
    motion, log = lapped(3, 5, 0.0, Logger(rate=5.0, place_noise=0.0))
    found = [lap.time for lap in find_laps(log, START).laps]
    assert found == pytest.approx(np.diff(motion.laps).tolist(), abs=0.01)


def test_a_gap_makes_a_lap_that_does_not_count() -> None:
    _, log = lapped(1)
    whole = find_laps(log, START)
    middle = (whole.laps[1].start + whole.laps[1].end) / 2
    holed = log.rows_where(np.abs(log.time - middle) > 4)
    laps = find_laps(holed, START)
    assert [lap.whole for lap in laps.laps] == [number != 1 for number in range(len(laps.laps))]


def test_held_positions_and_lost_fixes_do_no_harm() -> None:
    motion, log = lapped(4, logger=Logger(rate=50))
    assert log.latitude is not None
    assert log.longitude is not None
    held = np.arange(log.used_rows) // 10 * 10
    latitude, longitude = log.latitude[held], log.longitude[held]
    latitude[500:520], longitude[500:520] = 0.0, 0.0
    latitude[900:930] = np.nan
    laps = find_laps(replace(log, latitude=latitude, longitude=longitude), START)
    # Held for a fifth of a second, the place comes that much late, the same in every lap.
    assert [lap.time for lap in laps.laps] == pytest.approx(np.diff(motion.laps).tolist(), abs=0.08)


@pytest.mark.parametrize("seed", range(6))
def test_a_lap_becomes_the_circuit_that_was_ridden(seed: int) -> None:
    _, log = lapped(seed)
    found = cut(log, find_laps(log, START))
    circuit = found.circuit
    assert refusal(circuit) is None
    assert doubts(circuit) == ()
    assert circuit.length_m == pytest.approx(CIRCUIT.length_m, rel=4e-3)
    assert abs(circuit.turned_deg) == pytest.approx(360, abs=4)
    true = [CIRCUIT.sections[i] for i in CIRCUIT.corners]
    ridden = [circuit.sections[i] for i in circuit.corners]
    assert len(ridden) == len(true)
    for one, other in zip(ridden, true, strict=True):
        assert one.apex_kmh == pytest.approx(other.apex_kmh, rel=0.015)
        assert abs(one.length_m - other.length_m) < 16
        assert one.turn_deg * other.turn_deg > 0
        assert abs(one.gradient_percent - other.gradient_percent) < 1.2
    starts = CIRCUIT.starts_m
    for apex, i in zip(found.apexes, CIRCUIT.corners, strict=True):
        assert starts[i] - 12 <= apex.at <= starts[i + 1] + 12


@pytest.mark.parametrize("positions", [True, False])
def test_the_circuit_from_the_log_ranks_sets_as_the_truth_does(positions: bool) -> None:
    _, log = lapped(5)
    if positions:
        laps = find_laps(log, START)
    else:
        log = replace(log, latitude=None, longitude=None)
        laps = find_laps(log)
        assert laps.rough
    circuit = cut(log, laps).circuit
    sets = [(front, rear) for front in (-1, 0, 1) for rear in (-4, -2, 0, 2, 4, 6)]

    def times(on: Circuit) -> list[float]:
        found = []
        for front, rear in sets:
            known = pulled(truly(BRINDLE, front, rear))
            machines = machines_of(known.machine, known.road, friction=1.1, braking=6.0)
            found.append(float(lap_times(machines, on).time[0]))
        return found

    here, there = times(CIRCUIT), times(circuit)
    assert spearmanr(here, there).statistic > 0.96
    # What a set gains or loses against the fitted one is told to three hundredths of a second.
    own = sets.index((0, 0))
    assert np.array(there) - there[own] == pytest.approx(np.array(here) - here[own], abs=0.03)
    # The best by the log is within two hundredths of a second of the truly best.
    assert here[int(np.argmin(there))] - min(here) < 0.02
    # And the lap itself takes as long, to a hundredth.
    assert there[own] == pytest.approx(here[own], rel=0.012)


def test_without_positions_the_pattern_of_the_speed_gives_the_laps() -> None:
    motion, log = lapped(1, 5)
    laps = find_laps(replace(log, latitude=None, longitude=None))
    assert laps.rough
    assert len(laps.whole) >= 4
    usual = float(np.median(np.diff(motion.laps)))
    assert [lap.time for lap in laps.whole] == pytest.approx([usual] * len(laps.whole), rel=0.015)
    assert [lap.length for lap in laps.whole] == pytest.approx([CIRCUIT.length_m] * len(laps.whole), rel=0.01)
    found = cut(replace(log, latitude=None, longitude=None), laps)
    assert any("Without positions" in note for note in found.notes)
    assert len(found.circuit.corners) == len(CIRCUIT.corners)


def test_a_circuit_holds_no_place() -> None:
    _, log = lapped(1)
    text = circuit_text(cut(log, find_laps(log)).circuit, "")
    for word in ("45.0", "-30.0", "latitude", "longitude"):
        assert word not in text


def test_a_start_in_a_corner_moves_to_the_next_straight() -> None:
    _, log = lapped(1)
    there = find_laps(log, START)
    assert log.latitude is not None
    assert log.longitude is not None
    # A line across the first corner, 50 m into it.
    at = int(np.searchsorted(there.time, there.laps[0].start)) + 1
    walked = np.cumsum(np.hypot(np.diff(there.x), np.diff(there.y)))
    into = int(np.searchsorted(walked, walked[at] + CIRCUIT.starts_m[1] + 50))
    heading = float(np.arctan2(there.y[into + 1] - there.y[into - 1], there.x[into + 1] - there.x[into - 1]))
    row = int(np.searchsorted(log.time, there.time[into]))
    line = StartLine(float(log.latitude[row]), float(log.longitude[row]), heading)
    found = cut(log, find_laps(log, line))
    assert found.moved > 0
    assert found.circuit.sections[0].kind == "straight"
    assert found.circuit.length_m == pytest.approx(CIRCUIT.length_m, rel=4e-3)
    assert [found.circuit.sections[i].apex_kmh for i in found.circuit.corners] == pytest.approx(
        [62, 88, 110, 52, 74, 80, 92, 96], rel=0.015
    )


def test_rides_without_laps_are_refused_in_one_line() -> None:
    with pytest.raises(LogError, match="no laps"):
        find_laps(replace(ride(BRINDLE, 1, 3.0), road=np.full(3600, 20.0)[: ride(BRINDLE, 1, 3.0).used_rows]))
    time = np.arange(0, 300, 0.2)
    away = RideLog("away", time, gps=np.full(1500, 20.0), latitude=45 + time * 20 / 111e3, longitude=np.full(1500, 5.0))
    with pytest.raises(LogError, match="no laps"):
        find_laps(away)
    with pytest.raises(LogError, match="no time"):
        find_laps(replace(away, timed=False))
    with pytest.raises(LogError, match="not crossed twice"):
        find_laps(lapped(1)[1], StartLine(46.0, -30.0, 0.0))
    still = replace(away, latitude=np.full(1500, 45.0))
    with pytest.raises(LogError, match="too few positions"):
        find_laps(still)


def test_a_ring_without_a_corner_is_no_circuit() -> None:
    time = np.arange(0, 300, 0.1)
    angle = time * 25 / 200
    log = RideLog(
        "ring",
        time,
        gps=np.full(3000, 25.0),
        latitude=45 + 200 * np.sin(angle) / 111131.7,
        longitude=5 + 200 * np.cos(angle) / 78846.8,
    )
    laps = find_laps(log)
    assert laps.best is not None
    assert laps.best.time == pytest.approx(2 * np.pi * 200 / 25, abs=0.02)
    with pytest.raises(LogError, match="no marked lowest"):
        circuit_of(log, laps, laps.best, "ring")


def test_apex_speeds_are_in_si_at_the_apexes() -> None:
    _, log = lapped(0)
    found = cut(log, find_laps(log, START))
    for apex in found.apexes:
        shown = found.circuit.sections[apex.section].apex_kmh
        assert shown == pytest.approx(apex.speed / KMH, abs=0.06)
        assert apex.radius is not None
        assert 5 < apex.radius < 200
