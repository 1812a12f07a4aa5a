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


def outline(teeth: int, pitch: float, roller: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The rim of a sprocket as a closed polygon (x, y) about its centre, first seat on the x axis.

    Round seats for the rollers on the pitch circle, flat tips at the practical outside diameter p·(0.6 + cot(π/z))
    (an industrial sprocket maker's formula). For drawing; real tooth forms differ.
    """
    r = float(pitch_radius(teeth, pitch))
    tip = pitch * (0.6 + 1 / np.tan(np.pi / teeth)) / 2
    # The seat: the inner part of the roller's circle; then half a tip on either side.
    turn = np.linspace(-0.5, 0.5, 7) * np.pi
    seat_x, seat_y = r - roller / 2 * np.cos(turn), roller / 2 * np.sin(turn)
    half = np.pi / teeth
    edge = np.array([-0.72, 0.72]) * half
    x = np.concatenate([[tip * np.cos(edge[0])], seat_x, [tip * np.cos(edge[1])]])
    y = np.concatenate([[tip * np.sin(edge[0])], seat_y, [tip * np.sin(edge[1])]])
    at = np.arange(teeth)[:, None] * 2 * half
    xs, ys = x * np.cos(at) - y * np.sin(at), x * np.sin(at) + y * np.cos(at)
    return np.append(xs.ravel(), xs[0, 0]), np.append(ys.ravel(), ys[0, 0])
