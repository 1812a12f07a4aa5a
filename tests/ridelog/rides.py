"""Demo rides of known truth for the tests."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.text.units import RPM
from gearplan.plan.driveset import fitted
from gearplan.plan.pull.pull import Pull, pull
from gearplan.ridelog.demolog import Logger, Motion, closing, demo_laps, demo_ride, recorded
from gearplan.ridelog.laps.laps import StartLine
from gearplan.ridelog.learning.sprockets import profile_circumference
from gearplan.ridelog.log import RideLog


def truly(bike: Bike, front: int = 0, rear: int = 0, rolls: float = 0.0) -> Bike:
    """A profile of what is really on: teeth added, the circumference larger by a share."""
    on = bike.final_drive
    assert on.front is not None
    assert on.rear is not None
    about = profile_circumference(bike)[0]
    assert about is not None
    changed = replace(bike, final_drive=replace(on, front=on.front + front, rear=on.rear + rear))
    return with_value(changed, "tyre", "rolling_circumference_mm", 1000 * about * (1 + rolls))


def pulled(bike: Bike) -> Pull:
    found = pull(bike, fitted(bike))
    assert isinstance(found, Pull)
    return found


@lru_cache(maxsize=300)
def ride(bike: Bike, seed: int, minutes: float = 4.0, logger: Logger | None = None) -> RideLog:
    """A road ride on a bike as its profile is."""
    known = pulled(bike)
    idle = (bike.engine.idle_rpm or 1300) * RPM
    return recorded(demo_ride(known.machine, known.road, seed, minutes=minutes, idle=idle), seed, logger)


BRINDLE = demo_bike("Brindle 650").bike


CIRCUIT = closing(demo_circuit().circuit)
#: Where the demo laps begin, as the demo says.
START = StartLine(45.0, -30.0, 0.0)


@lru_cache(maxsize=60)
def lapped(seed: int, laps: int = 4, ease: float = 0.006, logger: Logger | None = None) -> tuple[Motion, RideLog]:
    """Laps of the first demo circuit on the Brindle: what happened, and the log of it."""
    known = pulled(BRINDLE)
    motion = demo_laps(known.machine, known.road, CIRCUIT, laps, ease=ease)
    return motion, recorded(motion, seed, logger)
