"""Anti-squat of a chain-driven swingarm. SI: m, rad; vectorised over everything."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.sprocket import Values, pitch_radius

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Run:
    """The chain's upper run: its tangent points on both pitch circles (the pivot is the origin, x forward, z up)."""

    rear_x: Floats
    rear_z: Floats
    front_x: Floats
    front_z: Floats


def runs(
    axle_position: Values,
    angle: Values,
    sprocket_forward: Values,
    sprocket_up: Values,
    front: Values,
    rear: Values,
    pitch: Values,
) -> tuple[Run, Run]:
    """The (upper, lower) straight runs between the pitch circles.

    The common outer tangents of two circles: the run's normal makes the angle whose cosine is (r₂ − r₁)/C with
    the line from the rear to the front centre. NaN where one circle lies inside the other.
    """
    r1, r2 = pitch_radius(front, pitch), pitch_radius(rear, pitch)
    ax, az = -axle_position * np.cos(angle), -axle_position * np.sin(angle)
    dx, dz = sprocket_forward - ax, sprocket_up - az
    centre = np.hypot(dx, dz)
    cosine = (r2 - r1) / centre
    sine = np.sqrt(np.where(np.abs(cosine) < 1, 1 - cosine**2, np.nan))
    ex, ez = dx / centre, dz / centre
    made = []
    for side in (1.0, -1.0):
        # The normal, turned from the line of centres to the left (up) or right (down).
        nx, nz = cosine * ex - side * sine * ez, cosine * ez + side * sine * ex
        points = (ax + r2 * nx, az + r2 * nz, sprocket_forward + r1 * nx, sprocket_up + r1 * nz)
        made.append(Run(*(np.asarray(point, float) for point in points)))
    return made[0], made[1]


def squat_slope(
    run: Run, axle_position: Values, angle: Values, rear: Values, pitch: Values, tyre_radius: Values
) -> Floats:
    """tan σ: slope of the line from the rear contact point to where the chain's line meets the swingarm's.

    By moments about the pivot, so there is no special case where those two lines are parallel:
    tan σ = [z_p + (R/r₂)·((Q_x − x_p)·u_z − (Q_z − z_p)·u_x)]/x_p with the contact point as the origin (R below
    the axle), the pivot at (x_p, z_p), Q the run's tangent point on the rear pitch circle, u its direction.
    Formula after Cossalter, Motorcycle Dynamics (from memory); equal to the construction by lines.
    """
    x_p = axle_position * np.cos(angle)
    z_p = tyre_radius + axle_position * np.sin(angle)
    ux, uz = run.front_x - run.rear_x, run.front_z - run.rear_z
    length = np.hypot(ux, uz)
    # The run is given from the pivot, so Q − pivot is its rear point itself.
    moment = (run.rear_x * uz - run.rear_z * ux) / length
    return np.asarray((z_p + tyre_radius / pitch_radius(rear, pitch) * moment) / x_p)


def crossing(run: Run, angle: Values) -> tuple[Floats, Floats]:
    """Where the run's line meets the line through pivot and axle (pivot as the origin); infinite if parallel."""
    ux, uz = run.front_x - run.rear_x, run.front_z - run.rear_z
    ex, ez = np.cos(angle), np.sin(angle)
    across = ex * uz - ez * ux
    with np.errstate(divide="ignore", invalid="ignore"):
        along = (run.rear_x * uz - run.rear_z * ux) / across
    return np.asarray(along * ex), np.asarray(along * ez)


def distance_to_pivot(run: Run) -> Floats:
    """Distance of the pivot from the run's line in m, positive where the run passes above the pivot."""
    ux, uz = run.front_x - run.rear_x, run.front_z - run.rear_z
    return np.asarray((ux * run.rear_z - uz * run.rear_x) / np.hypot(ux, uz))
