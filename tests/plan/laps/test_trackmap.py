"""Maps of circuits; those of public centre lines are in tests/reference."""

from __future__ import annotations

import math

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.library import demo_circuits
from gearplan.bike.sections.edits import mirrored
from gearplan.plan.laps.trackmap import circuit_map


@pytest.mark.parametrize("name", list(demo_circuits()))
def test_maps_have_the_lengths_and_close_where_the_turns_do(name: str) -> None:
    circuit = demo_circuit(name).circuit
    found = circuit_map(circuit)
    assert found.distance[-1] == pytest.approx(circuit.length_m)
    assert set(found.section.tolist()) == set(range(len(circuit.sections)))
    if found.closed:
        assert (found.x[-1], found.y[-1]) == pytest.approx((0, 0), abs=1e-6)
    assert found.closed == ("climb" not in name.lower())
    other = circuit_map(mirrored(circuit))
    assert other.y == pytest.approx(-found.y, abs=1e-6)
    x, _ = found.at(np.array([0.0, circuit.length_m / 2]))
    assert x[0] == 0.0


def test_a_map_of_one_circle_is_round() -> None:
    ring = circuit_map(Circuit("", (Section("corner", math.tau * 50, radius_m=50, turn_deg=360),)), step=1.0)
    away = np.hypot(ring.x - ring.x.mean(), ring.y - ring.y.mean())
    assert away[1:-1] == pytest.approx(50, rel=0.02)
    flat = circuit_map(Circuit("", (Section("straight", 100),)))
    assert not flat.closed
    assert "straight line" in flat.note
