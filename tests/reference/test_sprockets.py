"""Sprocket geometry against printed tables."""

from __future__ import annotations

import pytest

from gearplan.drive.sprocket import chordal_dip, pitch_radius
from tests.reference.tables import rows

PRINTED = rows("pitch_diameters.csv")


def test_the_table_is_whole() -> None:
    assert len(PRINTED) == 145


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: row["teeth"])
def test_pitch_diameter_is_as_printed(row: dict[str, str]) -> None:
    """A gear maker's printed table of pitch diameters for 25.4 mm pitch, two decimals (address in the file)."""
    printed = float(row["pitch_diameter_mm_for_25.4mm_pitch"])
    assert 2 * pitch_radius(int(row["teeth"]), 25.4) == pytest.approx(printed, abs=0.0055)


@pytest.mark.parametrize("row", rows("unit_pitch.csv"), ids=lambda row: row["teeth"])
def test_unit_pitch_diameter(row: dict[str, str]) -> None:
    """The unit-pitch table of ISO 606 and ASME B29.1, from memory, four decimals."""
    assert 2 * pitch_radius(int(row["teeth"]), 1.0) == pytest.approx(float(row["unit_pitch_diameter_table"]), abs=1e-4)


def test_chordal_dip_against_a_textbook() -> None:
    """Per cent at z = 9, 11, 13, 15, 17, 21, 25, from v = r·ω·cos β, |β| ≤ 180°/z (Jiang 2019, eq. 7.6)."""
    for teeth, percent in ((9, 6.03), (11, 4.05), (13, 2.91), (15, 2.19), (17, 1.70), (21, 1.12), (25, 0.79)):
        assert 100 * chordal_dip(teeth) == pytest.approx(percent, abs=0.005)
