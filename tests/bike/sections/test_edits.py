"""Sections split, joined and resized: lengths, turns and climbs stay what they add up to."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.sections.edits import joined, resized, split, without

CORNERS = st.builds(
    Section,
    st.just("corner"),
    st.floats(1, 500),
    gradient_percent=st.floats(-10, 10),
    apex_kmh=st.none() | st.floats(20, 200),
    radius_m=st.none() | st.floats(5, 500),
    turn_deg=st.floats(-180, 180),
)


@given(st.lists(CORNERS, min_size=1, max_size=6), st.data())
@settings(max_examples=60)
def test_halves_joined_again_are_the_section(sections: list[Section], data: st.DataObject) -> None:
    circuit = Circuit("x", tuple(sections))
    at = data.draw(st.integers(0, len(sections) - 1))
    cut = split(circuit, at)
    assert cut.length_m == pytest.approx(circuit.length_m)
    assert cut.turned_deg == pytest.approx(circuit.turned_deg, abs=1e-9)
    again = joined(cut, at, at + 1).sections[at]
    assert again.length_m == pytest.approx(sections[at].length_m)
    assert (again.turn_deg, again.apex_kmh, again.radius_m) == (
        pytest.approx(sections[at].turn_deg),
        sections[at].apex_kmh,
        sections[at].radius_m,
    )


def test_a_joined_corner_is_held_at_the_slowest_and_climbs_as_much() -> None:
    one = Section("corner", 30.0, 2.0, apex_kmh=80.0, turn_deg=40.0, note="in")
    other = Section("corner", 90.0, -2.0, apex_kmh=60.0, radius_m=35.0, turn_deg=-10.0, lowest_gear=2, note="out")
    made = joined(Circuit("", (one, other)), 0, 1).sections
    # (30 · 2 − 90 · 2) / 120, by hand.
    assert made == (Section("corner", 120.0, -1.0, 60.0, 35.0, turn_deg=30.0, note="in", lowest_gear=2),)
    with pytest.raises(ValueError, match="after this one"):
        joined(Circuit("", (one,)), 0, 0)
    with pytest.raises(ValueError, match="not of one kind"):
        joined(Circuit("", (one, Section("straight", 9.0))), 0, 1)


def test_a_wider_corner_is_as_much_longer() -> None:
    corner = Section("corner", 60.0, radius_m=45.0, turn_deg=76.0, apex_kmh=80.0)
    wider = resized(corner, 1.5)
    assert (wider.length_m, wider.radius_m, wider.turn_deg, wider.apex_kmh) == (90, 67.5, 76, 80)
    arc = resized(Section("corner", 60.0, turn_deg=76.0), 1.5)
    assert arc.radius_m is None
    assert arc.line_radius_m == pytest.approx(1.5 * 60 / math.radians(76))


def test_several_go_at_once() -> None:
    sections = tuple(Section("straight", float(n)) for n in range(1, 6))
    left = without(Circuit("", sections), 1, 3).sections
    assert [section.length_m for section in left] == [1, 5]
    assert len(without(Circuit("", sections), 0).sections) == 4
    assert len(without(Circuit("", sections), 0, 0).sections) == 4
