"""The centre of mass from scales, against statics solved by other means: a rigid body set on its wheels."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from gearplan.drive import weighing


def on_scales(
    mass: complex, weight: float, wheelbase: float, front_axle: float, rear_axle: float, raised: float
) -> tuple[float, float]:
    """(front, rear) loads of a body whose wheels are circles, the front one's ground `raised` over the rear one's.

    The body is turned about the rear axle until the lower edge of the front wheel stands on its ground; the loads
    are those that balance the weight and its moment. Points are complex numbers, the rear contact the origin.
    """
    rear, front = complex(0, rear_axle), complex(wheelbase, front_axle)

    def gap(turn: float) -> float:
        at = rear + (front - rear) * np.exp(1j * turn)
        return float(at.imag - front_axle - raised)

    turn = brentq(gap, -1.2, 1.2, xtol=1e-14)
    moved = [rear + (point - rear) * np.exp(1j * turn) for point in (mass, front)]
    arms = [[1.0, 1.0], [moved[1].real, rear.real]]
    front_load, rear_load = np.linalg.solve(arms, [weight, weight * moved[0].real])
    return float(front_load), float(rear_load)


@given(
    st.floats(1.2, 1.7),
    st.floats(0.35, 0.65),
    st.floats(0.45, 0.9),
    st.floats(0.25, 0.36),
    st.floats(0.25, 0.36),
    st.floats(0.1, 0.6),
    st.booleans(),
)
def test_scales_give_back_where_the_mass_was(
    wheelbase: float, share: float, high: float, front_axle: float, rear_axle: float, lift: float, in_front: bool
) -> None:
    ahead = share * wheelbase
    raised = lift if in_front else -lift
    level = on_scales(complex(ahead, high), 250.0, wheelbase, front_axle, rear_axle, 0.0)
    tilted = on_scales(complex(ahead, high), 250.0, wheelbase, front_axle, rear_axle, raised)
    assert weighing.ahead_of_rear_axle(*level, wheelbase) == pytest.approx(ahead, abs=1e-9)
    found = weighing.height(
        *level, tilted[1 if in_front else 0], raised, wheelbase=wheelbase, front_axle=front_axle, rear_axle=rear_axle
    )
    assert found == pytest.approx(high, abs=1e-6)


def test_with_equal_wheels_it_is_the_textbooks_formula() -> None:
    """h = R + ΔF·w/(W·tan θ): Foale, Motorcycle Handling and Chassis Design (from memory)."""
    wheelbase, radius, lift = 1.4, 0.31, 0.3
    front, rear, low = 120.0, 130.0, 142.5
    on_front = front + rear - low
    angle = math.asin(lift / wheelbase)
    printed = radius + (front - on_front) * wheelbase / ((front + rear) * math.tan(angle))
    found = weighing.height(front, rear, low, lift, wheelbase=wheelbase, front_axle=radius, rear_axle=radius)
    assert found == pytest.approx(printed, abs=1e-12)


def test_loads_in_equal_parts_lie_in_the_middle() -> None:
    assert weighing.ahead_of_rear_axle(100, 100, 1.4) == 0.7
    assert weighing.ahead_of_rear_axle(150, 50, 1.4) == pytest.approx(1.05)


def test_a_wheel_that_is_not_raised_tells_nothing() -> None:
    with pytest.raises(ValueError, match="not raised"):
        weighing.height(120, 130, 130, 0.0, wheelbase=1.4, front_axle=0.3, rear_axle=0.31)
    with pytest.raises(ValueError, match="more than"):
        weighing.height(120, 130, 150, 1.5, wheelbase=1.4, front_axle=0.31, rear_axle=0.31)
