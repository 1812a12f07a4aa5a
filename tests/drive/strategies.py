"""Random circuits and finished bikes whose lap can be computed."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike

_BIKES = tuple(demo_bike(name).bike for name in demo_bikes())


def straights() -> st.SearchStrategy[Section]:
    return st.builds(
        Section,
        kind=st.just("straight"),
        length_m=st.floats(0.1, 1500),
        gradient_percent=st.floats(-40, 40),
        hold_gear=st.sampled_from([False, False, True]),
        turn_deg=st.floats(-30, 30),
    )


def corners() -> st.SearchStrategy[Section]:
    return st.builds(
        Section,
        kind=st.just("corner"),
        length_m=st.floats(0.1, 300),
        gradient_percent=st.floats(-20, 20),
        apex_kmh=st.none() | st.floats(3, 450),
        radius_m=st.floats(2, 2000),
        grip=st.none() | st.floats(0.1, 3),
        lean_deg=st.none() | st.floats(1, 70),
        turn_deg=st.floats(-200, 200),
        lowest_gear=st.none() | st.integers(1, 8),
        hold_gear=st.booleans(),
    )


def circuits() -> st.SearchStrategy[Circuit]:
    return st.lists(straights() | corners(), min_size=1, max_size=8).map(lambda s: Circuit("any", tuple(s)))


@st.composite
def whole_bikes(draw: st.DrawFn) -> Bike:
    """A demo bike with its engine, weights, tyre and timing changed within the bounds of sense."""
    bike = draw(st.sampled_from(_BIKES))
    share = draw(st.floats(0.02, 3))
    points = tuple((rpm, share * torque) for rpm, torque in bike.engine.torque or ())
    rough = draw(st.booleans())
    if rough:
        points = tuple((rpm, torque * draw(st.floats(0.1, 2))) for rpm, torque in points)
    engine = replace(
        bike.engine,
        torque=points,
        shift_time_s=draw(st.sampled_from([0.0, 0.05, 0.15, 0.6, 3.0])),
        shift_rpm=draw(st.sampled_from([None, None, 7000.0])),
        inertia_kg_m2=draw(st.sampled_from([0.0, 0.03, 0.3])),
    )
    load = replace(
        bike.load,
        bike_kg=draw(st.floats(60, 400)),
        drag_area_m2=draw(st.floats(0.05, 1.5)),
        braking_mps2=draw(st.sampled_from([None, 0.5, 6.0, 9.0, 25.0])),
    )
    tyre = replace(
        bike.tyre,
        grip=draw(st.floats(0.2, 2)),
        growth_per_mps2=draw(st.sampled_from([0.0, 0.0, 5e-6, 1e-3])),
        crown_radius_mm=draw(st.sampled_from([None, 0.0, 90.0, 300.0])),
    )
    return replace(bike, engine=engine, load=load, tyre=tyre)
