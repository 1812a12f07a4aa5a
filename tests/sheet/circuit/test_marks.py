"""Marks of a map stand beside the line and apart from each other, or not at all."""

from __future__ import annotations

import numpy as np
import pytest

from gearplan.sheet.circuit.marks import placed

ANGLE = np.linspace(0, 2 * np.pi, 361)
X, Y = 100 * np.cos(ANGLE), 100 * np.sin(ANGLE)


def size(text: str) -> tuple[float, float]:
    return 8.0 * len(text), 12.0


def test_a_mark_stands_on_the_outer_side() -> None:
    (at,) = placed(X, Y, [(90, "3")], size, 13.0)
    assert at == pytest.approx((0, 113), abs=1e-6)


def test_the_second_at_the_same_place_goes_inside_and_a_third_is_left_out() -> None:
    outer, inner, none = placed(X, Y, [(90, "3"), (90, "4"), (91, "5")], size, 13.0)
    assert outer == pytest.approx((0, 113), abs=1e-6)
    assert inner == pytest.approx((0, 87), abs=1e-6)
    assert none is None


def test_what_is_taken_stays_free() -> None:
    (at,) = placed(X, Y, [(90, "3")], size, 13.0, [(-20, 105, 20, 125)])
    assert at == pytest.approx((0, 87), abs=1e-6)


def test_a_wide_text_keeps_clear_of_a_line_that_runs_upwards() -> None:
    (at,) = placed(X, Y, [(0, "10500")], size, 13.0)
    assert at is not None
    assert at[0] - size("10500")[0] / 2 > 100
