"""What is ridden again, against a search of all places that shares no code with it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from gearplan.ridelog.laps.laps import find_laps
from gearplan.ridelog.laps.repeats import repeated
from gearplan.ridelog.log import LogError, RideLog


def by_search(x: np.ndarray, y: np.ndarray, walked: np.ndarray, begin: float, end: float) -> float:
    def course(at: float) -> tuple[float, float, float]:
        (x0, y0), (x1, y1) = (
            (float(np.interp(at + d, walked, x)), float(np.interp(at + d, walked, y))) for d in (-10.0, 10.0)
        )
        return (x0 + x1) / 2, (y0 + y1) / 2, math.atan2(y1 - y0, x1 - x0)

    there = [(s, *course(s)) for s in np.arange(0, walked[-1], 10.0).tolist()]
    hits, same_way = 0, math.cos(math.pi / 4)
    for own in np.linspace(begin, end, 120, endpoint=False).tolist():
        px, py, way = course(own)
        hits += any(
            (s < begin or s > end) and math.hypot(qx - px, qy - py) < 20 and math.cos(way - other) > same_way
            for s, qx, qy, other in there
        )
    return hits / 120


@pytest.mark.parametrize("seed", range(4))
def test_the_share_ridden_again_is_that_of_a_search_of_all_places(seed: int) -> None:
    rng = np.random.default_rng(seed)
    turn = np.cumsum(rng.normal(0, 0.06, 500)) + np.linspace(0, 25, 500)
    x, y = (np.cumsum(12 * part) - 4000 * seed for part in (np.cos(turn), np.sin(turn)))
    walked = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    edges = np.linspace(300, walked[-1] - 200, 4)
    shares = repeated(x, y, walked, edges[:-1], edges[1:])
    assert shares == pytest.approx([by_search(x, y, walked, a, b) for a, b in pairwise(edges.tolist())])
    assert max(shares) > 0.05


def test_positions_that_jump_about_are_no_ride() -> None:
    """A hundred hours between places at both ends of the earth would be looked at every few metres."""
    time = np.arange(40_000.0)
    latitude = np.where(np.arange(40_000) // 2 % 2, 40.0, -40.0) + time * 1e-6
    log = RideLog("jumps", time, gps=np.full(40_000, 20.0), latitude=latitude, longitude=time * 1e-5)
    with pytest.raises(LogError, match="jump about"):
        find_laps(log)
