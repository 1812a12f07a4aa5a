"""Where the centre of mass lies, from what scales under the wheels show. SI: m; loads all in one unit."""

from __future__ import annotations

import math


def ahead_of_rear_axle(front: float, rear: float, wheelbase: float) -> float:
    """b = w·F_f/(F_f + F_r): how far the centre of mass lies ahead of the rear axle in m, both wheels level.

    Moments about the rear contact. Source: any textbook of statics; Cossalter, Motorcycle Dynamics, chapter 3.
    """
    return wheelbase * front / (front + rear)


def height(
    front: float,
    rear: float,
    low: float,
    raised: float,
    *,
    wheelbase: float,
    front_axle: float,
    rear_axle: float,
) -> float:
    """Height of the centre of mass over the road in m, from a weighing level and one with a wheel raised.

    `raised` (m) is how much higher the front wheel stands then, negative for the rear wheel; `low` is the load of the
    wheel that stays down. `front_axle` and `rear_axle` are the heights of the axles over what the wheels stand on (m):
    wheels of unequal size turn the line between the axles from the beginning. In that weighing the motorcycle is
    turned by θ, and moments about the rear contact give

        h = R_r + (b·cos θ − w′·F_f′/W)/sin θ,  w′ the level distance of the contacts, F_f′ the front load.

    With equal wheels it is the textbooks' h = R + (F_f − F_f′)·w/(W·tan θ): Foale, Motorcycle Handling and Chassis
    Design; Cossalter, Motorcycle Dynamics. ValueError where the wheel stands higher than the axles are apart, or is
    not raised.
    """
    weight = front + rear
    apart = math.hypot(wheelbase, front_axle - rear_axle)
    rise = (raised + front_axle - rear_axle) / apart
    if not -1 < rise < 1:
        raise ValueError("raised by more than the axles are apart")
    turn = math.asin(rise) - math.asin((front_axle - rear_axle) / apart)
    if math.isclose(turn, 0, abs_tol=1e-9):
        raise ValueError("not raised")
    on_front = weight - low if raised > 0 else low
    level = apart * math.sqrt(1 - rise**2)
    ahead = ahead_of_rear_axle(front, rear, wheelbase)
    return rear_axle + (ahead * math.cos(turn) - level * on_front / weight) / math.sin(turn)
