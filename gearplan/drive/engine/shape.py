"""A torque curve assumed from peak torque and peak power alone. SI: rad/s, N·m, W.

No source gives such a shape; it is common practice to draw one. What is certain is kept exactly: both peaks stand
where they were entered, torque is level at its own peak, power at its own, and neither is exceeded anywhere.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: What is left of the peak torque at a fifth of its engine speed, and how power falls beyond its peak: from memory
#: of ordinary four-stroke engines, no source.
_LOW_SHARE, _LOW_AT = 0.65, 0.2
_FALL = 2.0
_POINTS = 9
#: Speeds closer than this ratio are one.
_APART = 1.001


def assumed_shape(
    torque: float, torque_at: float, power: float, power_at: float, ends_at: float
) -> tuple[Floats, Floats]:
    """(engine speeds, torques) from a fifth of the torque peak's speed to `ends_at`, the limiter.

    Between the peaks a cubic with the slopes that the peaks have, held below both. The peaks must
    not contradict each other (`bike.checks.peak_problem`).
    """
    at_power = min(power / power_at, torque)
    low = np.linspace(_LOW_AT, 1, _POINTS) * torque_at
    rising = torque * (1 - (1 - _LOW_SHARE) * ((torque_at - low) / (torque_at * (1 - _LOW_AT))) ** 2)
    speeds, torques = [low], [rising]
    if power_at > torque_at * _APART:
        between = np.linspace(torque_at, power_at, _POINTS)[1:]
        torques.append(np.minimum(_between(torque, torque_at, at_power, power_at, between), power / between))
        speeds.append(between)
    top = max(torque_at, power_at)
    if ends_at > top * _APART:
        beyond = np.linspace(top, ends_at, _POINTS)[1:]
        share = (beyond - top) / top
        torques.append(np.maximum(at_power * top * (1 - _FALL * share**2), 0.0) / beyond)
        speeds.append(beyond)
    return np.concatenate(speeds), np.minimum(np.concatenate(torques), torque)


def _between(torque: float, torque_at: float, at_power: float, power_at: float, n: Floats) -> Floats:
    """Hermite's cubic: level at the torque peak, and falling as 1/n where power is level.

    The fall is limited to three times the mean slope, so that the cubic never turns back (Fritsch and Carlson, 1980).
    """
    width = power_at - torque_at
    mean = (at_power - torque) / width
    slope = max(-at_power / power_at, 3 * mean)
    t = (n - torque_at) / width
    return np.asarray(
        torque * (2 * t**3 - 3 * t**2 + 1) + at_power * (3 * t**2 - 2 * t**3) + slope * width * (t**3 - t**2)
    )
