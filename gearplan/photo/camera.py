"""A pinhole camera with one distortion term. Every function takes many cameras at once along the first axis.

The bike's axes: x forward, y up, z out of the chain's plane towards the camera. The camera's: right, down, ahead.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: So often is the distortion solved for when a point is traced back; each round is some 20 times nearer.
_ROUNDS = 6


@dataclass(frozen=True, slots=True)
class Cameras:
    """Where the cameras stand, n of them: `turn` (n, 3, 3), `shift` (n, 3) in m, `focal` (n) in px, `bend` (n).

    A point P of the bike is seen at f·m·(1 + k₁|m|²) from the picture's centre, m = (X, Y)/Z of turn·P + shift, with k₁
    the bend: negative for a barrel. Source: Brown's model of lens distortion with its first radial term only.
    """

    turn: Floats
    shift: Floats
    focal: Floats
    bend: Floats


def turns(yaw: Floats, pitch: Floats, roll: Floats, mirrored: bool) -> Floats:
    """Rotations from the bike's axes to the camera's; (n, 3, 3). Angles in rad, none for a camera square to the bike.

    `mirrored` where the bike's front is to the left.
    """
    across, along, round_axis = (_about(axis, angle) for axis, angle in ((1, yaw), (0, pitch), (2, roll)))
    square = np.diag([-1.0 if mirrored else 1.0, -1.0, -1.0])
    return np.asarray(across @ along @ round_axis @ square)


def _about(axis: int, angle: Floats) -> Floats:
    """Rotations about one axis; (n, 3, 3)."""
    found = np.zeros((len(angle), 3, 3))
    one, other = (axis + 1) % 3, (axis + 2) % 3
    found[:, axis, axis] = 1.0
    found[:, one, one] = found[:, other, other] = np.cos(angle)
    found[:, other, one] = np.sin(angle)
    found[:, one, other] = -found[:, other, one]
    return found


def project(cameras: Cameras, points: Floats) -> Floats:
    """Where points (n, m, 3) of the bike in m are seen, (n, m, 2) in px from the picture's centre, right and down."""
    seen = points @ np.swapaxes(cameras.turn, -1, -2) + cameras.shift[:, None]
    m = seen[..., :2] / seen[..., 2:]
    bent = 1 + cameras.bend[:, None, None] * _square(m)
    return np.asarray(cameras.focal[:, None, None] * m * bent)


def on_plane(cameras: Cameras, pixels: Floats, height: Floats) -> Floats:
    """Where the rays of pixels (m, 2) from the picture's centre meet the planes z = `height` (n, m) in m: x, y.

    (n, m, 2); the inverse of `project` in those planes.
    """
    q = pixels[None] / cameras.focal[:, None, None]
    m = q
    for _ in range(_ROUNDS):
        m = q / (1 + cameras.bend[:, None, None] * _square(m))
    rays = np.concatenate([m, np.ones((*m.shape[:-1], 1))], axis=-1) @ cameras.turn
    eye = -(cameras.shift[:, None] @ cameras.turn)
    reach = (height[..., None] - eye[..., 2:]) / rays[..., 2:]
    return np.asarray((eye + reach * rays)[..., :2])


def _square(m: Floats) -> Floats:
    """|m|² of (…, 2), kept as (…, 1): a sum over an axis of two takes numpy far longer."""
    return np.asarray(m[..., :1] ** 2 + m[..., 1:] ** 2)
