"""Tyre diameters against the published rule, worked examples and, more loosely, a table from memory."""

from __future__ import annotations

import pytest

from gearplan.bike.tyresize import parse_tyre_size
from gearplan.drive.tyre import free_diameter, rolling_circumference
from tests.reference.tables import rows

SIZES = rows("tyres.csv")


def test_there_are_enough_sizes() -> None:
    assert len(SIZES) >= 25


@pytest.mark.parametrize("row", SIZES, ids=lambda row: row["size"])
def test_diameter(row: dict[str, str]) -> None:
    """Rule rows use rounded rims (at most 0.6 mm off), quoted examples one decimal, rows from memory ±1.5 %."""
    printed = float(row["overall_diameter_mm"])
    tolerance = {"formula": 0.6, "from memory": 0.015 * printed}.get(row["provenance"], 0.06)
    assert 1e3 * free_diameter(parse_tyre_size(row["size"])) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize("row", rows("tyre_letters.csv"), ids=lambda row: f"{row['alpha']} {row['metric']}")
def test_letter_sizes(row: dict[str, str]) -> None:
    """A trade conversion table; where it gives two sizes for one letter code, ours lies between them."""
    size = parse_tyre_size(f"{row['alpha']}-16")
    width, aspect = map(float, row["metric"].split("/"))
    assert size.width_mm == width
    assert 100 * size.section_height_mm / size.width_mm == pytest.approx(aspect, abs=5.01)


@pytest.mark.parametrize(
    ("text", "diameter_mm"),
    [("3.00-18", 609.6), ("4.60 H 18", 457.2 + 1.8 * 116.84), ("4.10-18", 457.2 + 1.8 * 104.14)],
)
def test_inch_sizes(text: str, diameter_mm: float) -> None:
    """A tyre maker's size page: older inch sizes have an aspect of 100 %, low-section ones (4.10 …) of 90 %."""
    assert 1e3 * free_diameter(parse_tyre_size(text)) == pytest.approx(diameter_mm, abs=0.01)


def test_rolling_circumference_of_the_tyre_standards() -> None:
    """ETRTO: 3.05 times the diameter for a radial at 60 km/h (from memory), which is a factor of 0.971."""
    assert rolling_circumference(0.63, 0.97) / 0.63 == pytest.approx(3.05, abs=0.005)
