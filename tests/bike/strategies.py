"""Random bikes, finished and unfinished, for property tests."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from gearplan.bike.library import chain_sizes
from gearplan.bike.profile import SECTIONS, Bike, Entry, entries

_TYRES = ("180/55 ZR 17", "120/70-17 M/C", "3.00-18", "4.60 H 18", "MT90-16", "2 1/2-18", "140/80 - 18 70R")
_TEETH = st.integers(10, 60)


def _floats(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False).map(lambda x: x + 0.0) | st.integers(
        math.ceil(low), math.floor(max(high, math.ceil(low)))
    ).filter(lambda n: low <= n <= high)


def _ratios() -> st.SearchStrategy[Any]:
    any_ratio: st.SearchStrategy[Any] = (
        st.tuples(_TEETH, _TEETH) | st.floats(0.21, 9.9) | st.sampled_from([(None, 30), (17, None)]) | st.none()
    )
    return any_ratio.filter(_sensible)


def _sensible(ratio: Any) -> bool:
    return not isinstance(ratio, tuple) or None in ratio or bool(0.2 <= ratio[1] / ratio[0] <= 10)


def _value(entry: Entry) -> st.SearchStrategy[Any]:
    if entry.kind == "whole":
        return st.integers(int(entry.low), int(entry.high))
    if entry.kind == "number":
        return _floats(entry.low, entry.high)
    if entry.kind == "pair":
        half = _floats(entry.low, entry.high)
        return st.tuples(half, half) | st.tuples(half, st.none()) | st.tuples(st.none(), half)
    if entry.kind == "points":
        point = st.tuples(_floats(0, 30000), _floats(0, 1000))
        return st.lists(point, min_size=1, max_size=6).map(tuple)
    if entry.kind == "ratio":
        return _ratios().filter(lambda r: r is not None)
    if entry.kind == "ratios":
        return st.lists(_ratios(), min_size=1, max_size=7).map(tuple)
    if entry.kind == "tyre":
        return st.sampled_from(_TYRES)
    return st.sampled_from(tuple(chain_sizes()) if entry.kind == "chain" else entry.choices)


def bikes() -> st.SearchStrategy[Bike]:
    """Any bike that a file may hold, with fields missing at random and contradictions not ruled out."""
    sections = {
        name: st.builds(kind, **{key: st.none() | _value(entry) for key, entry in entries(name)})
        for name, kind in SECTIONS.items()
    }
    names = st.text(st.characters(min_codepoint=32, exclude_categories=["Cs", "Cc"]), max_size=20)
    return st.builds(Bike, name=names, **sections)
