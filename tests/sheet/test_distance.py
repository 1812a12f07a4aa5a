"""Type that is read from a distance, held to the angle that a capital of it fills for the eye."""

from __future__ import annotations

import math

import pytest
from PySide6.QtGui import QFont, QFontMetricsF

from gearplan.sheet.distance import capital, readable

pytestmark = pytest.mark.usefixtures("qapp")


def minutes(pixels: int, dpi: float, metres: float) -> float:
    """The angle that a capital fills, by the two ends of it as the eye sees them."""
    font = QFont("Lato")
    font.setPixelSize(pixels)
    high = QFontMetricsF(font).capHeight() / dpi * 25.4 / 1000
    return 60 * math.degrees(2 * math.atan(high / 2 / metres))


@pytest.mark.parametrize(("across", "wide"), [(1280, 286), (1920, 531), (2560, 597), (3840, 700)])
def test_a_capital_fills_sixteen_minutes_of_arc_and_no_more_than_it_must(across: int, wide: int) -> None:
    size, dpi = readable(2.0, across, wide), across / wide * 25.4
    # Bold capitals decide, which are a hundredth higher.
    assert 15.8 <= minutes(size, dpi, 2.0) <= 16.6
    assert minutes(size - 2, dpi, 2.0) < 16


def test_a_screen_that_tells_no_size_is_an_ordinary_one() -> None:
    ordinary = readable(2.0, 1920, 508)
    assert readable(2.0, 1920, 0) == readable(2.0, 1920, 1600) == ordinary


def test_three_metres_need_fourteen_millimetres() -> None:
    assert capital(3.0) == pytest.approx(14, abs=0.05)
