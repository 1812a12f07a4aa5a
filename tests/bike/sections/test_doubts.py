"""What is asked of a circuit: units that all sections mistake, and single sections with a word for a narrow column."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.library import demo_circuits
from gearplan.bike.sections.doubts import doubts, lap_doubts, section_doubts

LAP = demo_circuit("Marlpit Lane").circuit


def every(key: str, by: float) -> Circuit:
    """The demo lap with one value of all sections multiplied."""

    def changed(section: Section) -> Section:
        value = getattr(section, key)
        given: dict[str, Any] = {} if value is None else {key: value * by}
        return replace(section, **given)

    return replace(LAP, sections=tuple(map(changed, LAP.sections)))


@pytest.mark.parametrize("name", demo_circuits())
def test_a_lap_in_the_right_units_is_not_asked_about(name: str) -> None:
    assert [doubt.key for doubt in lap_doubts(demo_circuit(name).circuit) if doubt.key != "gradient_percent"] == []


def test_mistaken_units_are_asked_about() -> None:
    assert [d.text for d in lap_doubts(every("turn_deg", math.pi / 180))] == [
        "Are the turns in radians? They add up to 6.28; in degrees the turns of a lap add up to 360."
    ]
    assert "Are the lengths in kilometres? The lap is 2.06 m long" in lap_doubts(every("length_m", 1e-3))[0].text
    assert lap_doubts(every("apex_kmh", 1 / 3.6))[0].text.startswith("Are the apex speeds in m/s?")


def test_each_section_has_its_own_word() -> None:
    sections = (
        Section("straight", 300.0, lean_deg=40.0),
        Section("corner", 50.0, apex_kmh=62.0, turn_deg=150.0),
        Section("corner", 50.0, apex_kmh=99.0, turn_deg=150.0),
        Section("corner", 50.0, turn_deg=90.0),
        Section("corner", 50.0, radius_m=45.0, grip=1.4, turn_deg=90.0),
    )
    found = section_doubts(Circuit("", sections), 1.25)
    # (99 / 3.6)² / (50 / 2.618) = 39.6 m/s², by hand.
    assert [(d.index, d.brief) for d in found] == [
        (0, "lean?"),
        (1, "1.58 g"),
        (2, "4.0 g"),
        (3, "speed?"),
        (4, "grip?"),
    ]
    assert all(d.text.startswith(f"Section {(d.index or 0) + 1}") for d in found)


def test_many_beyond_the_grip_are_one_sentence_for_the_lap_but_a_word_each_in_their_rows() -> None:
    corner = Section("corner", 60.0, apex_kmh=90.0, radius_m=50.0, turn_deg=70.0)
    circuit = Circuit("", (corner,) * 3)
    assert len(doubts(circuit, 1.2)) == 1
    assert [d.brief for d in section_doubts(circuit, 1.2)] == ["1.27 g"] * 3
