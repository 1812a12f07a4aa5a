"""Circuits from points; public centre lines are read in tests/reference."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from gearplan.bike.circuit import Circuit
from gearplan.plan.lines.centreline import CentreLine, centre_line, circuit_of
from gearplan.plan.lines.csvpoints import points_from_csv
from gearplan.plan.lines.opening import read_centre_line
from gearplan.plan.lines.points import LineError, Points


def ridden(x: np.ndarray, y: np.ndarray) -> CentreLine:
    """The line as it is, without a width about it."""
    return centre_line(Points(x, y), 0)


def read(text: str) -> Circuit:
    return circuit_of(centre_line(points_from_csv(text)))


def stadium(radius: float = 60.0, straight: float = 400.0, step: float = 3.0) -> tuple[np.ndarray, np.ndarray]:
    """Two straights joined by two half circles, driven to the left."""
    along = np.arange(0, straight, step) / straight
    turn = np.arange(0, math.pi * radius, step) / radius
    x = [straight * along, straight + radius * np.sin(turn), straight * (1 - along), -radius * np.sin(turn)]
    y = [0 * along, radius * (1 - np.cos(turn)), 2 * radius + 0 * along, radius * (1 + np.cos(turn))]
    return np.concatenate(x), np.concatenate(y)


def as_text(x: np.ndarray, y: np.ndarray, head: str = "x,y\n", mark: str = ",") -> str:
    return head + "\n".join(f"{a:.3f}{mark}{b:.3f}" for a, b in zip(x, y, strict=True))


def test_half_circles_become_corners_of_their_radius() -> None:
    found = circuit_of(ridden(*stadium()))
    corners = [found.sections[k] for k in found.corners]
    assert len(corners) == 2
    for corner in corners:
        assert corner.radius_m == pytest.approx(60, rel=0.06)
        assert corner.turn_deg > 140
    assert found.length_m == pytest.approx(800 + math.tau * 60, rel=0.005)
    assert found.turned_deg == pytest.approx(360, abs=0.1)


def test_noise_of_a_satellite_receiver_leaves_the_corners_as_they_are() -> None:
    x, y = stadium(step=4.0)
    noise = np.random.default_rng(5).normal(0, 0.15, (2, len(x)))
    found = circuit_of(centre_line(Points(x + noise[0], y + noise[1])))
    strong = [found.sections[k] for k in found.corners]
    assert [abs(corner.turn_deg) > 60 for corner in strong] == [True, True]
    assert found.turned_deg == pytest.approx(360, abs=0.1)


@pytest.mark.parametrize(
    ("head", "mark"),
    [("x,y\n", ","), ("# x_m,y_m\n", ","), ("", " "), ("", "\t"), ("X [m];Y [m]\n", ";"), ("\n# a line\n", ",")],
)
def test_tables_of_many_kinds_are_read(head: str, mark: str) -> None:
    x, y = stadium()
    assert read(as_text(x, y, head, mark)).length_m == pytest.approx(1177, rel=0.005)


def test_widths_and_order_of_columns_and_decimal_commas() -> None:
    x, y = stadium()
    text = "w_left;y;w_right;x\n" + "\n".join(f"5,5;{b:.2f};4;{a:.2f}" for a, b in zip(x, y, strict=True))
    assert read(text.replace(".", ",")).length_m == pytest.approx(1177, rel=0.005)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "no points"),
        ("x,y\n", "no point below"),
        ("x,y\n1,2\n3,4\n", "at least five"),
        (as_text(*stadium(0.06, 0.4, 0.003)), "kilometres"),
        (as_text(*stadium(60_000, 400_000, 3000)), "millimetres"),
        ("x,y\n0,0\n0.001,0\n0.001,0.001\n0.0005,0.0015\n0,0.001\n", "longitude"),
        ("x,y\n0,0\n100,0\n100,abc\n50,120\n0,100\n", "line 4"),
        ("x,y\n0,0\n100\n100,100\n50,120\n0,100\n", "line 3"),
        ("x,y\n0,0\n100,0\nnan,5\n50,120\n0,100\n", "line 4"),
        ("300,1\n" * 50, "at least five"),
    ],
)
def test_points_that_make_no_circuit_get_one_line(text: str, told: str) -> None:
    with pytest.raises(LineError) as refused:
        read(text)
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_line_that_does_not_close_or_crosses_itself_is_said() -> None:
    x, y = stadium()
    open_end = ridden(x[: len(x) * 2 // 3], y[: len(x) * 2 // 3])
    assert any("does not close" in note for note in open_end.notes)
    t = np.linspace(0, math.tau, 400, endpoint=False)
    eight = ridden(300 * np.sin(t), 150 * np.sin(2 * t))
    assert any("crosses itself" in note for note in eight.notes)
    assert not any("crosses" in note for note in ridden(x, y).notes)
    assert circuit_of(eight).turned_deg == pytest.approx(0, abs=0.1)


def test_half_a_million_points_are_read(tmp_path: Path) -> None:
    t = np.linspace(0, math.tau, 500_000, endpoint=False)
    path = tmp_path / "big.csv"
    np.savetxt(path, np.column_stack([200 * np.cos(t), 200 * np.sin(t)]), fmt="%.4f", delimiter=",")
    assert circuit_of(read_centre_line(path)).length_m == pytest.approx(math.tau * 200, rel=0.001)


def test_files_that_are_none(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(LineError, match=str(tmp_path)):
            read_centre_line(path)
    bytes_only = tmp_path / "b.csv"
    bytes_only.write_bytes(b"\xff\xfe\x00\x81")
    with pytest.raises(LineError, match="UTF-8"):
        read_centre_line(bytes_only)


def test_a_ring_is_one_turn_and_an_oval_two() -> None:
    t = np.linspace(0, math.tau, 300, endpoint=False)
    ring = circuit_of(ridden(200 * np.cos(t), 200 * np.sin(t)))
    assert [(s.kind, s.note) for s in ring.sections] == [("corner", "Turn 1")]
    assert ring.sections[0].radius_m == pytest.approx(200, rel=0.005)
    oval = circuit_of(ridden(300 * np.cos(t), 150 * np.sin(t)))
    assert [s.note for s in oval.sections] == ["Turn 1", "To turn 2", "Turn 2", "To turn 1"]
    # The ends of that ellipse have radius b²/a = 75 m; a turn is its mean over some length.
    assert oval.sections[0].radius_m == pytest.approx(75, rel=0.3)
    assert [s.turn_deg for s in oval.sections] == pytest.approx([180, 0, 180, 0], abs=3)
    assert all(type(s.length_m) is float and type(s.turn_deg) is float for s in oval.sections)


def test_turns_are_numbered_from_the_start_of_the_line() -> None:
    x, y = stadium()
    # It begins in the middle of the first straight, which is then the first section.
    begins = circuit_of(ridden(np.roll(x, -60), np.roll(y, -60)))
    assert [s.note for s in begins.sections] == ["To turn 1", "Turn 1", "To turn 2", "Turn 2"]
    assert begins.sections[0].length_m == pytest.approx(400, rel=0.1)


def test_points_that_scatter_make_no_turns() -> None:
    rng = np.random.default_rng(0)
    scattered = Points(rng.normal(0, 30, 900), rng.normal(0, 30, 900))
    with pytest.raises(LineError, match="scatter too much"):
        circuit_of(centre_line(scattered), 1.0)
    # Twelve times round a place.
    t = np.linspace(0, 12 * math.tau, 800)
    spiral = centre_line(Points((100 + 2 * t) * np.cos(t), (100 + 2 * t) * np.sin(t)))
    with pytest.raises(LineError, match="scatter too much to tell turns: section"):
        circuit_of(spiral, 0.0)


def test_a_line_there_and_back_has_a_turn_at_each_end() -> None:
    along = np.arange(0, 1000, 10.0)
    both = np.concatenate([along, along[::-1]])
    made = circuit_of(centre_line(Points(both, 0 * both)))
    assert [abs(made.sections[k].turn_deg) for k in made.corners] == pytest.approx([180, 180], abs=5)
