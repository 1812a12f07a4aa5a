"""The swingarm from heights and level distances: there and back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.drive import heights

LENGTHS = st.floats(0.3, 0.9)
ANGLES = st.floats(-0.5, 0.7)


@given(LENGTHS, ANGLES, st.floats(0.2, 0.6))
def test_both_ways_give_back_the_angle(arm: float, angle: float, pivot: float) -> None:
    axle, level = pivot - arm * math.sin(angle), arm * math.cos(angle)
    assert heights.angle_by_length(pivot, axle, arm) == pytest.approx(angle, abs=1e-9)
    assert heights.angle_by_level(pivot, axle, level) == pytest.approx(angle, abs=1e-9)
    assert heights.arm_by_level(pivot, axle, level) == pytest.approx(arm, abs=1e-9)


def test_a_triangle_of_whole_numbers() -> None:
    """3-4-5: 36.87°, Euclid."""
    assert math.degrees(heights.angle_by_length(0.7, 0.4, 0.5)) == pytest.approx(36.8699, abs=1e-4)
    assert math.degrees(heights.angle_by_level(0.7, 0.4, 0.4)) == pytest.approx(36.8699, abs=1e-4)


def test_heights_that_contradict_the_length() -> None:
    with pytest.raises(ValueError, match="heights differ"):
        heights.angle_by_length(0.9, 0.3, 0.5)
