"""Sprocket geometry: pitch circle and polygon effect."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: What the formulas take: one number, or an array of them that broadcasts with the others.
Values = float | NDArray[np.float64] | NDArray[np.int_]


def pitch_radius(teeth: Values, pitch: Values) -> NDArray[np.float64]:
    """Radius of the circle through the pins, p / (2·sin(π/z)), in the unit of the pitch. Source: ISO 606."""
    return np.asarray(pitch / (2 * np.sin(np.pi / np.asarray(teeth, float))))


def chordal_dip(teeth: Values) -> NDArray[np.float64]:
    """How far the chain's speed dips below its highest as a link swings round: 1 − cos(π/z), a fraction.

    Source: v = r·ω·cos β with |β| ≤ π/z; Jiang, Analysis and Design of Machine Elements (2019), eq. 7.6.
    """
    return np.asarray(1 - np.cos(np.pi / np.asarray(teeth, float)))
