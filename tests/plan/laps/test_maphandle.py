"""The handle of a section on the map: where it lies, and what a drag or a step makes of the section."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.circuit import Circuit, Section, check_section
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.library import demo_circuits
from gearplan.bike.sections.cells import SectionUnits
from gearplan.plan.laps.maphandle import dragged, map_handle, size, size_words, stepped
from gearplan.plan.laps.trackmap import circuit_map

#: Not closed, so that nothing is spread along it: a straight, a quarter turn, a straight.
OPEN = Circuit("", (Section("straight", 100.0), Section("corner", 50 * math.pi, 0.0, 80.0, turn_deg=90.0)))


def test_it_lies_at_the_end_of_a_straight_and_amid_an_arc() -> None:
    drawn = circuit_map(OPEN)
    end, amid = map_handle(OPEN, drawn, 0), map_handle(OPEN, drawn, 1)
    assert (end.x, end.y) == pytest.approx((100, 0))
    # A quarter of radius 100 m begun at (100, 0): its middle by hand.
    half = math.radians(45)
    assert (amid.x, amid.y) == pytest.approx((100 + 100 * math.sin(half), 100 - 100 * math.cos(half)), abs=2.5)
    assert size_words(OPEN.sections[1], SectionUnits()) == "radius 100 m"
    assert size_words(OPEN.sections[0], SectionUnits(length="ft")) == "length 328 ft"


def test_the_arc_goes_where_it_is_dragged_along_its_chord() -> None:
    handle = map_handle(OPEN, circuit_map(OPEN), 1)
    to = (handle.start_x + 1.5 * (handle.x - handle.start_x), handle.start_y + 1.5 * (handle.y - handle.start_y))
    wider = dragged(OPEN.sections[1], handle, *to)
    assert size(wider) == pytest.approx(150, abs=0.01)
    changed = Circuit("", (OPEN.sections[0], wider))
    again = map_handle(changed, circuit_map(changed), 1)
    assert (again.x, again.y) == pytest.approx(to, abs=4)
    longer = dragged(OPEN.sections[0], map_handle(OPEN, circuit_map(OPEN), 0), 163.4, 500.0)
    assert longer == Section("straight", 163.0)


@given(st.sampled_from(list(demo_circuits())), st.data())
@settings(max_examples=80)
def test_any_drag_or_step_leaves_a_section_that_can_be(name: str, data: st.DataObject) -> None:
    circuit = demo_circuit(name).circuit
    at = data.draw(st.integers(0, len(circuit.sections) - 1))
    handle = map_handle(circuit, circuit_map(circuit), at)
    x, y = data.draw(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)))
    for changed in (
        dragged(circuit.sections[at], handle, x, y),
        stepped(circuit.sections[at], data.draw(st.sampled_from([-1e5, -1.0, 1.0, 1e5]))),
    ):
        assert check_section(changed) is None
        assert changed.turn_deg == circuit.sections[at].turn_deg
    assert dragged(circuit.sections[at], handle, handle.x, handle.y).length_m == pytest.approx(
        circuit.sections[at].length_m, rel=0.06
    )
