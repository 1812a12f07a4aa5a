"""A published speed trace with a published gear box and gear-shift rule, recorded once a second.

Speed: the third part of the world harmonised motorcycle cycle, from the data of NREL's fastsim (Apache License 2.0, see
tests/reference/cycles; commit bd9111b). Ratios and gear-shift speeds: the example of Commission Delegated Regulation
(EU) No 134/2014, Annex II, for 72 kW and 199 kg (from memory). The engine turns at ndv · v in gear.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from gearplan.bike.profile import Bike, Gearbox
from gearplan.bike.text.units import KMH, RPM
from gearplan.ridelog.learning.gears import infer_gears
from gearplan.ridelog.log import RideLog

_TRACE = Path(__file__).parents[2] / "reference" / "cycles" / "wmtc_part3.csv"
#: rpm per km/h in each gear, and the road speeds of the up- and down-shifts (km/h).
_NDV = (133.66, 94.91, 76.16, 65.69, 58.85, 54.04)
_UP, _DOWN = (28.5, 51.3, 63.9, 74.1, 82.7), (15.5, 28.5, 40.1, 49.9, 57.9)
_IDLE = 1150


def recorded(seed: int) -> tuple[RideLog, np.ndarray]:
    """The cycle with the clutch slipping below idle, rounded as a logger would."""
    with _TRACE.open(encoding="utf-8") as file:
        speed = np.array([float(row["cycMps"]) for row in csv.DictReader(file)]) / KMH
    gear, gears = 0, []
    for before, now in zip(np.append(speed[0], speed[:-1]), speed, strict=True):
        while gear < 5 and now > before and now > _UP[gear]:
            gear += 1
        while gear > 0 and now < before and now < _DOWN[gear - 1]:
            gear -= 1
        gears.append(gear)
    rng = np.random.default_rng(seed)
    engine = np.maximum(np.array(_NDV)[gears] * speed, _IDLE) + rng.normal(0, 10, len(speed))
    shown = np.round(np.maximum(speed + rng.normal(0, 0.1, len(speed)), 0), 1)
    time = np.arange(len(speed), dtype=float)
    return RideLog("wmtc", time, engine=np.round(engine) * RPM, road=np.asarray(shown * KMH, float)), np.array(gears)


def test_the_published_ratios_are_found_in_the_published_cycle() -> None:
    """Gears ridden for at least a quarter of a minute; their steps stand in the regulation's example too."""
    log, gears = recorded(1)
    ratios = np.array(_NDV)
    box = Gearbox(primary=1.0, gears=tuple((ratios / ratios[-1]).tolist()))
    found = infer_gears(log, Bike(gearbox=box))
    assert found.matched == "yes"
    told = {gear.number: gear.cluster for gear in found.gears}
    assert {number for number in range(1, 7) if np.count_nonzero(gears == number - 1) > 60} <= set(told)
    for number, cluster in told.items():
        assert number is not None
        assert cluster.ratio / RPM * KMH == pytest.approx(ratios[number - 1], rel=6e-3)
    inside = [c.low / RPM * KMH <= ratios[n - 1] <= c.high / RPM * KMH for n, c in told.items() if n]
    assert sum(inside) >= len(inside) - 1
    assert told[6].rows > 250
