"""Many top speeds at once are those of each set by itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.drive.motion.thrust import top_speed, top_speeds
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import pull


@pytest.mark.parametrize("name", demo_bikes())
@pytest.mark.parametrize("slope", [0.0, 0.1, 0.35, 0.9])
@pytest.mark.parametrize("bound", [1.0, 0.1])
def test_each_is_the_single_set_s(name: str, slope: float, bound: float) -> None:
    bike = demo_bike(name).bike
    pulled = pull(bike, fitted(bike))
    assert not isinstance(pulled, Finding)
    road = replace(pulled.road, slope=slope)
    machine = replace(pulled.machine, lift=bound * pulled.machine.lift)
    overall = np.array(machine.overall)[None, :] * np.linspace(0.4, 1.8, 60)[:, None]
    many = top_speeds(machine, road, overall, np.full(60, machine.radius), np.full(60, machine.bound))
    for row, speed in zip(overall, many, strict=True):
        single = top_speed(replace(machine, overall=tuple(row.tolist())), road)
        if single is None:
            assert np.isnan(speed)
        else:
            assert speed == pytest.approx(single.speed, rel=1e-9)
