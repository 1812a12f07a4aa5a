"""Engine curves as text: what is plain is taken, what is not is refused by its row."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.enginecurve import CurveError, read_curve


@pytest.mark.parametrize(
    ("text", "points"),
    [
        ("rpm,Nm\n2000,41.0\n4000,55", ((2000, 41), (4000, 55))),
        ("rpm;Nm\n2000;41,0\n4000;55,5", ((2000, 41), (4000, 55.5))),
        ("rpm\tN·m\n2000\t41,0\n4000\t55.5\n", ((2000, 41), (4000, 55.5))),
        ("2000 41,5\n3000 50,1", ((2000, 41.5), (3000, 50.1))),
        ("# dyno\nEngine speed (1/min)\tPower [kW]\n3000\t20,1\n6000\t45", ((3000, 63.98), (6000, 71.62))),
        ("n,Leistung PS\n2000,14\n3000,20", ((2000, 49.164), (3000, 46.823))),
        ("rpm,Torque (lb-ft)\n3000,50\n6000,48", ((3000, 67.791), (6000, 65.079))),
        ("rpm,kgf·m\n3000,4\n6000,5", ((3000, 39.227), (6000, 49.033))),
        ("RPM,Power (hp)\n5252,50\n6000,48", ((5252, 67.793), (6000, 56.966))),
        ("Time,Speed,rpm,Nm\n0,10,2000,40\n1,12,2500,41", ((2000, 40), (2500, 41))),
        ("n;M\n1/min;Nm\n2000;40\n3000;41", ((2000, 40), (3000, 41))),
        ("rpm x1000,Nm\n2,40\n3,41", ((2000, 40), (3000, 41))),
        ("rpm;kW\n2.000;8\n3.000;12", ((2000, 38.197), (3000, 38.197))),
        ("\ufeffrpm,Nm\r\n3000,41\r\n2000,40\r\n\r\n", ((2000, 40), (3000, 41))),
        ('"rpm","Nm"\n"2000","40"\n"3000","41"', ((2000, 40), (3000, 41))),
    ],
)  # fmt: skip
def test_plain_tables_are_read(text: str, points: tuple[tuple[float, float], ...]) -> None:
    read = read_curve(text).points
    assert [rpm for rpm, _ in read] == [rpm for rpm, _ in points]
    assert [torque for _, torque in read] == pytest.approx([torque for _, torque in points], abs=0.006)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no row"),
        ("\0\0ELF", "not text"),
        ("rpm,Nm\n", "no row of numbers"),
        ("rpm,Nm\n2000,40\n", "one point"),
        ("rpm,Nm\n2000,40\n2000,40\n", "same engine speed"),
        ("rpm,Nm\n2000,40\n-3000,41", "Row 3: engine speed -3000 is negative"),
        ("rpm,Nm\n2000,40\n3000,fast", "Row 3: torque “fast” is not a number"),
        ("rpm,Nm\n2000,40\n3000,", "Row 3: the torque is missing"),
        ("rpm,Nm\n2000,41,0\n3000,42,5", "decimal commas"),
        ("2000,41,5\n3000,42,5", "no heading and there are 3 columns"),
        ("a,b\n1,2\n3,4", "names neither"),
        ("rpm,gear\n1000,2\n3000,4", "No column is headed torque"),
        ("time,Nm\n1000,2\n3000,4", "No column is headed engine speed"),
        ("rpm,Nm\n2000,40\n90000,40", "Row 3: 90000 rpm can't be right"),
        ("rpm,Nm\n2000,40\n9000,4000", "Row 3: 4000 N·m can't be right"),
        ("rpm,Nm\n2000,50\n2000,80\n3000,60", "same engine speed, 2000 rpm, but"),
        ("rpm,lb-ft,kW\n5252,50,50\n6000,48,54.8", "Row 2: torque and power disagree"),
    ],
)
def test_others_are_refused_with_their_row(text: str, told: str) -> None:
    with pytest.raises(CurveError, match=told):
        read_curve(text)


def test_a_mislabelled_power_is_named() -> None:
    with pytest.raises(CurveError, match="would agree in hp"):
        read_curve("rpm,lb-ft,kW\n5252,50,50\n6000,48,54.8")


def test_a_hundred_thousand_rows_are_thinned_and_keep_their_ends() -> None:
    rows = "\n".join(f"{2000 + 8000 * k / 99999:.3f},{60 + math.sin(k / 15000):.4f}" for k in range(100_000))
    read = read_curve("rpm,Nm\n" + rows)
    assert len(read.points) <= 60
    assert (read.points[0][0], read.points[-1][0]) == (2000, 10000)
    assert any("100000 rows" in note for note in read.notes)
    for rpm, torque in read.points:
        assert torque == pytest.approx(60 + math.sin((rpm - 2000) / 8000 * 99999 / 15000), abs=0.08)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        points = read_curve(text).points
    except CurveError:
        return
    assert len(points) >= 2


@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)).map(lambda t: f"{t[0] * 100},{t[1]}"), max_size=40),
    st.sampled_from(["rpm,Nm", "rpm,kW", "n,Nm,kW", ""]),
)
def test_any_table_is_read_or_refused(rows: list[str], head: str) -> None:
    try:
        points = read_curve("\n".join([head, *rows])).points
    except CurveError:
        return
    assert [p[0] for p in points] == sorted({p[0] for p in points})
