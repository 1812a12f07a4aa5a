"""Rows from a spreadsheet: headings, units, decimal commas; what cannot be read is kept and told with its place."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.sections.cells import COLUMNS, SectionUnits, exact_text, read_cell, shown_text
from gearplan.bike.sections.pasting import PasteError, copied, placed, read_pasted

METRIC, MILES = SectionUnits(), SectionUnits(length="ft", speed="mph")


@pytest.mark.parametrize("units", [METRIC, MILES])
@pytest.mark.parametrize("name", ["Marlpit Lane", "Heronfleet", "Cairn Brae hill climb"])
def test_what_is_copied_comes_back(name: str, units: SectionUnits) -> None:
    circuit = demo_circuit(name).circuit
    text = copied(circuit, range(len(circuit.sections)), COLUMNS, units, headed=True)
    put = placed(Circuit(), read_pasted(text, METRIC), 0)
    assert put.unreadable == {}
    for made, was in zip(put.circuit.sections, circuit.sections, strict=True):
        assert (made.kind, made.note, made.lowest_gear) == (was.kind, was.note, was.lowest_gear)
        # Copied in other units a value has six digits.
        assert made.length_m == pytest.approx(was.length_m, rel=1e-5)
        assert made.apex_kmh == (None if was.apex_kmh is None else pytest.approx(was.apex_kmh, rel=1e-5))


NUMBERS = st.floats(1, 9999).map(lambda value: round(value, 2))


@given(st.lists(NUMBERS, min_size=2, max_size=8), st.sampled_from([",", "."]))
@settings(max_examples=80)
def test_a_decimal_mark_that_any_cell_decides_holds_for_all(lengths: list[float], mark: str) -> None:
    rows = ["123.45", *(f"{length:.3f}" for length in lengths)]
    read = read_pasted("\n".join(row.replace(".", mark) for row in rows), METRIC, "length_m")
    assert [row.values["length_m"] for row in read.rows] == [123.45, *(pytest.approx(length) for length in lengths)]


def test_without_that_what_can_be_meant_in_two_ways_is_kept_unread() -> None:
    put = placed(Circuit(), read_pasted("1,200\n445", METRIC, "length_m"), 0)
    assert put.unreadable == {0: {"length_m": "1,200"}}
    assert "Row 1, length: “1,200” can be read in two ways" in put.told


def test_units_stand_in_headings_or_cells() -> None:
    read = read_pasted("Type\tLength [yd]\tMin speed (mph)\tName\nbend\t100\t60\tA\nstraight\t1 km\t\tB\n", METRIC)
    first, second = (row.values for row in read.rows)
    assert first == {"kind": "corner", "length_m": 91.44, "apex_kmh": pytest.approx(96.5606, abs=1e-4), "note": "A"}
    assert second == {"kind": "straight", "length_m": 1000, "note": "B"}
    below = read_pasted("Strecke;Radius\nm;ft\n120,5;100\n", METRIC)
    assert below.rows[0].values == {"length_m": 120.5, "radius_m": 30.48}
    assert below.rows[0].number == 3


def test_bad_cells_are_named_and_the_rest_is_kept() -> None:
    text = "length\tturn\tapex\tweather\n445\t\t\tdry\n15x\t80\t96\t\n\n\t-70 left\t9999\t\n"
    put = placed(Circuit("", (Section("straight", 5.0),)), read_pasted(text, METRIC), 0)
    assert [section.kind for section in put.circuit.sections] == ["straight", "straight", "corner", "corner"]
    assert put.unreadable == {
        2: {"length_m": "15x"},
        3: {"turn_deg": "-70 left", "apex_kmh": "9999", "length_m": "?"},
    }
    assert put.circuit.sections[2].turn_deg == 80
    assert "Row 3, length: “x” is not a unit of distance" in put.told
    assert "Row 5, apex speed: 9999 km/h can't be right" in put.told
    assert "Not used: “weather”." in put.told


def test_rows_without_headings_go_over_cells_and_on_behind_the_last() -> None:
    circuit = Circuit("", (Section("straight", 5.0, note="pit"), Section("corner", 9.0, apex_kmh=70.0)))
    put = placed(circuit, read_pasted("60\t80\t90\n70\t\t95", METRIC, "length_m"), 1)
    assert put.circuit.sections[0] == circuit.sections[0]
    assert put.circuit.sections[1] == Section("corner", 60.0, apex_kmh=90.0, turn_deg=80.0)
    assert put.circuit.sections[2] == Section("corner", 70.0, apex_kmh=95.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "nothing to paste"),
        ("\n \t\n", "nothing to paste"),
        ("weather\twind\n1\t2", "names no column that is known here: “weather”, “wind”"),
        ("length\n" + "100\n" * 501, "501 rows are more than 500"),
    ],
)
def test_a_text_of_which_nothing_can_be_taken_is_refused(text: str, said: str) -> None:
    with pytest.raises(PasteError, match=said):
        read_pasted(text, METRIC)


def test_more_than_a_circuit_has_is_refused_whole() -> None:
    long = Circuit("", (Section("straight", 9.0),) * 499)
    with pytest.raises(PasteError, match="501 sections"):
        placed(long, read_pasted("length\n1\n2", METRIC), 498)


@given(st.text(max_size=60))
@settings(max_examples=200)
def test_any_text_is_taken_or_refused_in_words(text: str) -> None:
    try:
        placed(demo_circuit("Marlpit Lane").circuit, read_pasted(text, METRIC), 3)
    except PasteError as refused:
        assert str(refused).endswith(".")


@pytest.mark.parametrize(
    ("key", "text", "value"),
    [
        ("turn_deg", "85 left", 85),
        ("turn_deg", "r 70", -70),
        ("turn_deg", "−70", -70),
        ("turn_deg", "1.5708 rad", pytest.approx(90, abs=1e-3)),
        ("kind", "c", "corner"),
        ("kind", "Gerade", "straight"),
        ("hold_gear", "y", True),
        ("grip", "95 %", 0.95),
        ("lowest_gear", "2", 2),
        ("length_m", " ", None),
    ],
)
def test_a_cell_means(key: str, text: str, value: object) -> None:
    assert read_cell(key, text, METRIC) == value


def test_a_cell_shows_no_more_than_is_known_and_keeps_all() -> None:
    corner = Section("corner", 80.44, -1.5, apex_kmh=96.0, turn_deg=-167.7, grip=1.25)
    assert [shown_text(corner, key, METRIC) for key in ("length_m", "turn_deg", "gradient_percent", "grip")] == [
        "80.4",
        "168 right",
        "−1.5",
        "1.25",
    ]
    assert [exact_text(corner, key, METRIC) for key in ("length_m", "turn_deg")] == ["80.44", "-167.7"]
    assert shown_text(corner, "apex_kmh", MILES) == "59.7"
    assert shown_text(Section("corner", 9.0, turn_deg=7.5), "turn_deg", METRIC) == "7.5 left"


def test_a_row_may_end_as_any_system_ends_it() -> None:
    """One that ended in a lone carriage return once ended the program's patience."""
    read = [read_pasted(f"length\tturn{end}120\t0{end}80\t90{end}", METRIC) for end in ("\n", "\r\n", "\r", "\r\r\n")]
    assert {tuple(tuple(row.values.items()) for row in one.rows) for one in read} == {
        ((("length_m", 120.0), ("turn_deg", 0.0)), (("length_m", 80.0), ("turn_deg", 90.0)))
    }
