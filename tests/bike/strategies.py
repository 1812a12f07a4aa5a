"""Random bikes, finished and unfinished, for property tests."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from gearplan.bike.entries import Entry, entries_in
from gearplan.bike.library import chain_sizes
from gearplan.bike.profile import KINDS, SECTIONS, Bike, entries
from gearplan.bike.work.job import Job, JobPart
from gearplan.bike.work.rides import Ride

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
        point = st.tuples(_floats(0, entry.high), _floats(0, entry.most))
        return st.lists(point, min_size=1, max_size=6).map(tuple)
    if entry.kind == "ratio":
        return _ratios().filter(lambda r: r is not None)
    if entry.kind == "ratios":
        return st.lists(_ratios(), min_size=1, max_size=7).map(tuple)
    if entry.kind == "text":
        return lines()
    if entry.kind == "tyre":
        return st.sampled_from(_TYRES)
    return st.sampled_from(tuple(chain_sizes()) if entry.kind == "chain" else entry.choices)


def lines() -> st.SearchStrategy[str]:
    """Any line of text that a field may hold."""
    return st.text(st.characters(min_codepoint=32, exclude_categories=["Cs", "Cc"]), min_size=1, max_size=20)


def _any_of(kind: type) -> dict[str, st.SearchStrategy[Any]]:
    return {key: st.none() | _value(entry) for key, entry in entries_in(kind)}


def jobs() -> st.SearchStrategy[Job]:
    """Any job that a file may hold."""
    texts = st.dictionaries(lines(), lines(), max_size=4).map(lambda found: tuple(found.items()))
    known = _any_of(Job) | {"date": st.none() | st.dates().map(lambda day: day.isoformat())}
    parts = st.lists(st.builds(JobPart, **_any_of(JobPart)), max_size=3).map(tuple)
    return st.builds(Job, **known, readings=texts, signed=texts, reasons=texts, parts=parts, profile=_kept())


def rides() -> st.SearchStrategy[Ride]:
    """Any ride that a file may hold."""
    return st.builds(Ride, **_any_of(Ride) | {"date": st.none() | st.dates().map(lambda day: day.isoformat())})


def _kept() -> st.SearchStrategy[Any]:
    """What a job may keep of a profile."""

    def plain(sections: dict[str, Any]) -> Any:
        found = []
        for name in SECTIONS:
            values = sections.get(name, {})
            ordered = tuple((key, values[key]) for key, _ in entries(name) if values.get(key) is not None)
            if ordered:
                found.append((name, ordered))
        return tuple(found)

    some = {
        name: st.fixed_dictionaries({}, optional={key: _value(entry) for key, entry in entries(name)})
        for name in ("chassis", "engine", "gearbox", "service")
    }
    return st.just(()) | st.fixed_dictionaries({}, optional=some).map(plain)


def bikes() -> st.SearchStrategy[Bike]:
    """Any bike that a file may hold, with fields missing at random and contradictions not ruled out."""
    sections = {
        name: st.builds(kind, **{key: st.none() | _value(entry) for key, entry in entries(name)})
        for name, kind in SECTIONS.items()
    }
    names = st.text(st.characters(min_codepoint=32, exclude_categories=["Cs", "Cc"]), max_size=20)
    return st.builds(
        Bike,
        name=names,
        kind=st.sampled_from(KINDS),
        **sections,
        jobs=st.lists(jobs(), max_size=3).map(tuple),
        rides=st.lists(rides(), max_size=3).map(tuple),
    )
