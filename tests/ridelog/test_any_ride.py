"""Whatever a log holds, the answer is whole: no crash, and every number in it is finite."""

from __future__ import annotations

import json

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.ridelog.log import RideLog, sane
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.offers import offers
from gearplan.ridelog.telling.words import remarks, text_for_people

_KINDS = ("nothing", "zero", "constant", "noise", "steps", "huge", "tiny", "wave", "gaps", "negative")
_BIKES = (demo_bike().bike, Bike())


def line(kind: str, rng: np.random.Generator, count: int, usual: float) -> np.ndarray | None:
    wave = usual * (1 + 0.6 * np.sin(np.arange(count) / rng.uniform(5, 60)))
    made = {
        "zero": np.zeros(count),
        "constant": np.full(count, usual),
        "noise": rng.uniform(0, 2 * usual, count),
        "steps": usual * (1 + np.arange(count) // max(count // 7, 1)),
        "huge": wave * 1e12,
        "tiny": wave * 1e-12,
        "wave": wave,
        "gaps": np.where(rng.random(count) < 0.7, np.nan, wave),
        "negative": -wave,
    }
    return made.get(kind)


_KIND = st.sampled_from(_KINDS)


@settings(max_examples=200)
@given(
    st.integers(0, 2**31),
    st.integers(2, 900),
    st.tuples(_KIND, _KIND, _KIND, _KIND, _KIND, _KIND, _KIND),
    st.sampled_from((0.01, 0.1, 1.0, 300.0)),
    st.booleans(),
    st.sampled_from(_BIKES),
)
def test_any_ride_has_a_whole_answer(
    seed: int, count: int, kinds: tuple[str, ...], step: float, timed: bool, bike: Bike
) -> None:
    rng = np.random.default_rng(seed)
    time = np.cumsum(rng.uniform(0.2, 1.8, count)) * step
    usual = (500.0, 20.0, 20.0, 45.0, 7.0, 100.0, 0.3)
    channels = [line(kind, rng, count, about) for kind, about in zip(kinds, usual, strict=True)]
    engine, road, gps, latitude, longitude, altitude, throttle = channels
    log = RideLog(
        "any",
        time - time[0],
        engine=engine,
        road=road,
        gps=gps,
        latitude=latitude,
        longitude=longitude,
        altitude=altitude,
        throttle=throttle,
        rows=count,
        timed=timed,
    )
    log = sane(log)
    learned = learn(log, bike)
    told = remarks(learned, bike)
    json.dumps(as_numbers(learned, told), allow_nan=False)
    assert text_for_people(learned, bike)
    for offer in offers(learned, bike):
        assert offer.applied(bike) != bike or offer.counted
