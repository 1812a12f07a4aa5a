"""Circuits: values, edits, and a file in which nothing is lost."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike import circuit as circuits
from gearplan.bike.circuit import Circuit, Section, refusal
from gearplan.bike.files.circuitfile import (
    CircuitChangedOnDisk,
    CircuitFileError,
    circuit_from_text,
    circuit_text,
    demo_circuit,
    read_circuit,
    save_circuit,
)
from gearplan.bike.library import demo_circuits
from gearplan.bike.sections.doubts import doubts
from gearplan.bike.sections.edits import mirrored, moved, reversed_direction, with_section, without

COMMENTED = """\
# Our lap. Ask Jo before changing it.
format = 1
name = "Fennel Ring"  # dry line

# the pit straight
[[section]]
kind = "straight"
length_m = 300  # paced out
marshal = "post 1"

# tightens
[[section]]
kind = "corner"
length_m = 40
apex_kmh = 70  # with the old tyres
turn_deg = 180

[[section]]
kind = "straight"
length_m = 290
"""


def sections() -> st.SearchStrategy[Section]:
    numbers = {
        key: st.none() | st.floats(entry.low, entry.high, allow_nan=False)
        for key, entry in circuits.section_entries()
        if key in ("apex_kmh", "grip", "lean_deg")
    }
    return st.builds(
        Section,
        kind=st.sampled_from(circuits.KINDS),
        length_m=st.floats(0.1, 3000),
        gradient_percent=st.floats(-40, 40),
        radius_m=st.floats(2, 20000),
        turn_deg=st.floats(-720, 720),
        note=st.text(st.characters(min_codepoint=32, exclude_categories=["Cs", "Cc"]), max_size=9),
        lowest_gear=st.none() | st.integers(1, 8),
        hold_gear=st.booleans(),
        **numbers,
    )


def lists() -> st.SearchStrategy[Circuit]:
    return st.builds(Circuit, st.sampled_from(["", "Any"]), st.lists(sections(), max_size=5).map(tuple))


@given(lists(), lists())
@settings(max_examples=60)
def test_any_circuit_can_be_saved_over_any_other(before: Circuit, after: Circuit) -> None:
    text = circuit_text(before, "")
    assert circuit_from_text(text, "x").circuit == before
    assert circuit_text(before, text) == text
    assert circuit_from_text(circuit_text(after, text), "x").circuit == after


def test_comments_and_unknown_keys_move_with_their_sections() -> None:
    read = circuit_from_text(COMMENTED, "x")
    assert read.notices == ("x: section 1: “marshal” is not known and is left as it is",)
    turned = moved(read.circuit, 0, 2)
    faster = with_section(turned, 0, replace(turned.sections[0], apex_kmh=74.5, radius_m=40))
    text = circuit_text(faster, COMMENTED)
    assert circuit_from_text(text, "x").circuit == faster
    assert text.startswith("# Our lap. Ask Jo before changing it.\nformat = 1\n")
    assert "apex_kmh = 74.5  # with the old tyres" in text
    pit = text.index("# the pit straight\n[[section]]\n")
    assert text.index("# tightens\n[[section]]\n") < pit < text.index('marshal = "post 1"')
    fewer = circuit_text(without(read.circuit, 1), COMMENTED)
    assert "tightens" not in fewer
    assert "# paced out" in fewer


def test_sections_in_one_line_are_read_and_saved() -> None:
    text = 'format = 1\nsection = [{kind = "straight", length_m = 90}, {kind = "corner", length_m = 9, apex_kmh = 5}]\n'
    read = circuit_from_text(text, "x").circuit
    changed = mirrored(with_section(read, 0, Section("straight", 80, turn_deg=10), insert=True))
    assert circuit_from_text(circuit_text(changed, text), "x").circuit == changed


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "the file is empty"),
        ("format = 2", "newer version"),
        ("name = 'x'", "format = 1"),
        ("format = 1\nsection = 3", "[[section]]"),
        ("format = 1\n[[section]]\nlength_m = 3", "section 1: kind is missing"),
        ("format = 1\n[[section]]\nkind = 'straight'", "section 1: length_m is missing"),
        (
            "format = 1\n[[section]]\nkind = 'bend'\nlength_m = 3",
            "section 1: kind: “bend” is not one of straight",
        ),
        (
            "format = 1\n[[section]]\nkind = 'corner'\nlength_m = 3\nradius_m = 0",
            "radius_m: 0 m can't be right",
        ),
        ("format = 1\n[[section]]\nkind = 'straight'\nlength_m = 'far'", "section 1: length_m: “far” must be a number"),
        ("format = 1\n[[section]]\nkind = 'straight'\nlength_m = nan", "section 1: length_m: nan is not a number"),
        (
            "format = 1\n[[section]]\nkind = 'straight'\nlength_m = 5\nhold_gear = 1",
            "hold_gear: 1 must be true",
        ),
        ("format = ", "not a readable circuit file"),
    ],
)
def test_a_bad_file_gets_one_line(text: str, told: str) -> None:
    with pytest.raises(CircuitFileError) as refused:
        circuit_from_text(text, "lap.circuit.toml")
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)


def test_saving_refuses_when_the_file_was_changed_meanwhile(tmp_path: Path) -> None:
    path = tmp_path / "a.circuit.toml"
    path.write_text(COMMENTED, encoding="utf-8")
    opened = read_circuit(path)
    saved = save_circuit(path, moved(opened.circuit, 2, 0), opened)
    assert read_circuit(path) == saved
    path.write_text(COMMENTED + "# more\n", encoding="utf-8")
    with pytest.raises(CircuitChangedOnDisk):
        save_circuit(path, opened.circuit, saved)


def test_demo_circuits_are_whole_and_their_turns_close_the_lap() -> None:
    assert len(demo_circuits()) >= 3
    for name in demo_circuits():
        read = demo_circuit(name)
        assert read.notices == ()
        assert refusal(read.circuit) is None
        if "climb" not in name.lower():
            assert abs(read.circuit.turned_deg) == 360
            assert doubts(read.circuit) == ()


def test_what_cannot_be_ridden_or_is_doubtful_is_said() -> None:
    assert "no sections" in (refusal(Circuit()) or "")
    assert "Section 2: a corner needs" in (
        refusal(Circuit("", (Section("straight", 100), Section("corner", 20)))) or ""
    )
    slow = Circuit("", (Section("corner", 60, apex_kmh=25, radius_m=60), Section("straight", 300)))
    assert "in m/s" in doubts(slow)[0].text
    fast = Circuit("", (Section("corner", 60, apex_kmh=250, turn_deg=90), Section("straight", 300)))
    assert "Section 1" in doubts(fast)[0].text


def test_edits_are_pure_and_undo_each_other() -> None:
    ring = demo_circuit().circuit
    assert mirrored(mirrored(ring)) == ring
    assert moved(moved(ring, 2, 7), 7, 2) == ring
    assert without(with_section(ring, 3, Section("straight", 9), insert=True), 3) == ring
    assert reversed_direction(reversed_direction(ring)) == ring
    assert ring.starts_m[-1] == pytest.approx(ring.length_m)


def test_the_window_is_told_in_the_words_of_the_form() -> None:
    unfinished = Circuit("x", (Section("straight", 100.0), Section("corner", 30.0)))
    told = refusal(unfinished) or ""
    assert told == "Section 2: a corner needs its apex speed or its radius."


def test_many_corners_beyond_the_grip_are_one_sentence() -> None:
    corner = Section("corner", 60.0, apex_kmh=90.0, radius_m=50.0, turn_deg=70.0)
    few, many = (doubts(Circuit("", (corner,) * count), 1.2) for count in (2, 3))
    assert [doubt.index for doubt in few] == [0, 1]
    assert [doubt.index for doubt in many] == [None]
    # 25 m/s on 50 m: 12.5 m/s².
    assert "3 corners ask for 1.27 g to the side, more than the tyre's grip of 1.2" in many[0].text
