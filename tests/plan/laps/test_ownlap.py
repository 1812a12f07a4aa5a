"""A rider's own lap time gives the apex speeds: the lap is then that time, or no grip explains it and it is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.library import demo_circuits
from gearplan.bike.profile import with_value
from gearplan.drive.lap.rules import LapRules
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.laps.ownlap import OwnLap, own_lap
from gearplan.plan.laps.view import LapView, lap_view

BIKE = demo_bike("Corvid 1000").bike


def lap(circuit: Circuit, rules: LapRules | None = None) -> float:
    seen = lap_view(BIKE, fitted(BIKE), circuit, rules)
    assert isinstance(seen, LapView)
    return seen.row.time


@pytest.mark.parametrize("name", list(demo_circuits()))
@pytest.mark.parametrize("share", [0.9, 0.97, 1.05, 1.3])
def test_the_fitted_set_laps_in_the_own_time(name: str, share: float) -> None:
    circuit = demo_circuit(name).circuit
    wanted = share * lap(circuit)
    found = own_lap(BIKE, circuit, wanted)
    if isinstance(found, Finding):
        assert share == 0.9
        assert "No grip explains" in found.text
        return
    assert lap(found.circuit) == pytest.approx(wanted, abs=0.01)
    assert (found.factor > 1) == (share < 1)
    assert found.after == pytest.approx(lap(found.circuit))
    kept = [replace(s, apex_kmh=None) for s in circuit.sections]
    assert [replace(s, apex_kmh=None) for s in found.circuit.sections] == kept


def test_one_factor_for_all_apex_speeds() -> None:
    circuit = demo_circuit("Heronfleet").circuit
    found = own_lap(BIKE, circuit, 1.04 * lap(circuit))
    assert isinstance(found, OwnLap)
    for old, new in zip(circuit.sections, found.circuit.sections, strict=True):
        if old.kind == "corner" and old.apex_kmh is not None:
            assert new.apex_kmh == pytest.approx(found.factor * old.apex_kmh, abs=0.006)
    assert "Assumed" in found.told


def test_rules_count() -> None:
    circuit, rules = demo_circuit("Heronfleet").circuit, LapRules(wind=8.0)
    wanted = lap(circuit) + 1
    found = own_lap(BIKE, circuit, wanted, rules)
    assert isinstance(found, OwnLap)
    assert lap(found.circuit, rules) == pytest.approx(wanted, abs=0.01)


@pytest.mark.parametrize("share", [0.3, 8.0])
def test_what_no_grip_explains_is_said(share: float) -> None:
    circuit = demo_circuit("Heronfleet").circuit
    found = own_lap(BIKE, circuit, share * lap(circuit))
    assert isinstance(found, Finding)
    assert "No grip explains a lap of" in found.text


def test_what_lacks_is_named() -> None:
    bare = with_value(BIKE, "final_drive", "front", None)
    found = own_lap(bare, demo_circuit("Heronfleet").circuit, 90.0)
    assert isinstance(found, Finding)
    assert found.field == "final_drive.front"
    straight = own_lap(BIKE, Circuit("", (Section("straight", 2000.0),)), 60.0)
    assert isinstance(straight, Finding)
    assert "no corner" in straight.text


def test_the_time_it_has_changes_nothing() -> None:
    circuit = demo_circuit("Heronfleet").circuit
    found = own_lap(BIKE, circuit, lap(circuit))
    assert isinstance(found, OwnLap)
    assert found.circuit is circuit
