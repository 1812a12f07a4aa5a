"""Who rides a circuit, in its file: read, refused in words, written so that nothing is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gearplan.bike.files.circuitfile import CircuitFileError, circuit_from_text, circuit_text, demo_circuit
from gearplan.bike.rider import NOBODY, Rider

FIRST = Rider("Ann", 2, 60.0, (3,), 35.0, 500.0, 0.2, 4000.0, 72.0, 9.5)
LAP = '[[section]]\nkind = "straight"\nlength_m = 400\n'


def test_riders_are_written_beside_the_sections_and_read_again() -> None:
    opened = demo_circuit()
    assert opened.circuit.rider == NOBODY
    both = replace(opened.circuit, riders=(FIRST, Rider("Ben")))
    text = circuit_text(both, opened.text)
    assert text.startswith(opened.text.rstrip("\n"))
    assert circuit_from_text(text, "").circuit == both
    assert circuit_text(both, text) == text
    alone = replace(both, riders=(replace(FIRST, skips=(), lowest_gear=None),))
    assert circuit_from_text(circuit_text(alone, text), "").circuit == alone
    none = replace(both, riders=())
    assert circuit_from_text(circuit_text(none, text), "").circuit == none


def test_what_a_person_wrote_around_a_rider_is_kept() -> None:
    text = f'format = 1\n{LAP}# on slicks\n[[rider]]\nname = "Ann" # our first\nlowest_gear = 2\nboots = "red"\n'
    read = circuit_from_text(text, "x")
    assert read.notices == ("x: rider 1: “boots” is not known and is left as it is",)
    changed = replace(read.circuit, riders=(replace(read.circuit.rider, lowest_gear=3, first_below_kmh=55.5),))
    made = circuit_text(changed, text)
    for kept in ("# on slicks", "# our first", 'boots = "red"', "lowest_gear = 3", "first_below_kmh = 55.5"):
        assert kept in made


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("lowest_gear = 9", "rider 1: lowest_gear: "),
        ("lowest_gear = 2.5", "rider 1: lowest_gear: "),
        ("skips = 3", "rider 1: skips: expected gears from 1 to 8, such as [3]"),
        ("skips = [0]", "rider 1: skips: "),
        ("downshift_time_s = 20", "rider 1: downshift_time_s: "),
        ('first_below_kmh = "fast"', "rider 1: first_below_kmh: "),
        ("[[rider]]\n[[rider]]", "3 riders are more than 2"),
    ],
)
def test_a_habit_that_cannot_be_is_refused_by_its_name(line: str, told: str) -> None:
    with pytest.raises(CircuitFileError) as refused:
        circuit_from_text(f"format = 1\n{LAP}[[rider]]\n{line}\n", "x")
    assert told in str(refused.value)


def test_riders_that_are_no_tables_are_refused() -> None:
    with pytest.raises(CircuitFileError, match=r"\[\[rider\]\]"):
        circuit_from_text(f'format = 1\nrider = "Ann"\n{LAP}', "x")
