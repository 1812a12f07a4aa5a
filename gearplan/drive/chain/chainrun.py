"""The chain's way round two sprockets on a swingarm. Lengths in m, angles in rad, links are pitches.

The length is exact for a chain whose links lie on the sprockets as chords: the wrap is counted in teeth, not as
an arc of the pitch circle (which would be 0.06 to 0.085 link too long). It equals the polygon of the pins,
averaged over the sprockets' positions, within 4e-5 link. Source: ISO 606, annex on centre distance.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.sprocket import Values, pitch_radius

Floats = NDArray[np.float64]

_ROUNDS = 50
#: A step of Newton's method that is this small a share leaves an error of about its square.
_CLOSE = 1e-9


def centre_distance(axle_position: Values, angle: Values, sprocket_forward: Values, sprocket_up: Values) -> Floats:
    """Distance between the sprocket centres.

    The pivot is the origin; the axle lies `axle_position` behind it along an arm that points `angle` below the
    horizontal; the front sprocket lies forward of and above the pivot.
    """
    length = np.asarray(axle_position, float)
    return np.asarray(np.hypot(length * np.cos(angle) + sprocket_forward, length * np.sin(angle) + sprocket_up))


def axle_at_centre_distance(centre: Values, angle: Values, sprocket_forward: Values, sprocket_up: Values) -> Floats:
    """The axle position that gives a centre distance (the farther of two); NaN if none does.

    Inverse of `centre_distance`: L² + 2·L·(x·cos θ + y·sin θ) + x² + y² = C².
    """
    x, y = np.asarray(sprocket_forward, float), np.asarray(sprocket_up, float)
    along = x * np.cos(angle) + y * np.sin(angle)
    square = along**2 - (x**2 + y**2) + np.asarray(centre, float) ** 2
    return np.asarray(np.sqrt(np.where(square >= 0, square, np.nan)) - along)


def tangent_length(centre: Values, front: Values, rear: Values, pitch: Values) -> Floats:
    """Length of one straight run between the pitch circles, √(C² − (r₂ − r₁)²); NaN if there is none."""
    return _tangent(np.asarray(centre, float), _difference(front, rear, pitch))


def wrap_angles(centre: Values, front: Values, rear: Values, pitch: Values) -> tuple[Floats, Floats]:
    """Angles over which the chain lies on the (front, rear) sprocket, π ∓ 2α; together a full turn."""
    alpha = _run_angle(np.asarray(centre, float), _difference(front, rear, pitch))
    return np.asarray(np.pi - 2 * alpha), np.asarray(np.pi + 2 * alpha)


def links_taut(centre: Values, front: Values, rear: Values, pitch: Values) -> Floats:
    """Exact (fractional) number of links with both runs straight; NaN if one sprocket lies inside the other."""
    c, difference = np.asarray(centre, float), _difference(front, rear, pitch)
    wraps = _wrapped(np.asarray(front, float), np.asarray(rear, float), _run_angle(c, difference))
    return np.asarray(2 * _tangent(c, difference) / pitch + wraps)


def excess_length(tangent: Values, slack: Values) -> Floats:
    """Length by which the lower run exceeds the tangent for a total up-and-down movement `slack` at mid-run.

    √(t² + s²) − t by Pythagoras: half the movement each way over half the run, the upper run taut.
    """
    t, s = np.asarray(tangent, float), np.asarray(slack, float)
    return np.asarray(s**2 / (np.hypot(t, s) + t))


def slack_for_excess(tangent: Values, excess: Values) -> Floats:
    """The total movement at mid-run that an excess length gives, √(e² + 2·t·e); inverse of `excess_length`."""
    e = np.asarray(excess, float)
    return np.asarray(np.sqrt(e * (e + 2 * np.asarray(tangent, float))))


def links_at_slack(centre: Values, front: Values, rear: Values, pitch: Values, slack: Values) -> Floats:
    """Exact (fractional) number of links with the given slack in the lower run."""
    c, difference = np.asarray(centre, float), _difference(front, rear, pitch)
    tangent = _tangent(c, difference)
    wraps = _wrapped(np.asarray(front, float), np.asarray(rear, float), _run_angle(c, difference))
    return np.asarray((2 * tangent + excess_length(tangent, slack)) / pitch + wraps)


def centre_for_links(links: Values, front: Values, rear: Values, pitch: Values, slack: Values) -> Floats:
    """Centre distance at which `links` have the slack asked for; inverse of `links_at_slack`.

    Newton's method with the analytic derivative, all elements at once. NaN where no centre distance does it
    with the pitch circles clear of each other.
    """
    z1, z2 = np.asarray(front, float), np.asarray(rear, float)
    r1, r2 = pitch_radius(z1, pitch), pitch_radius(z2, pitch)
    touching, difference = r1 + r2, r2 - r1
    wanted = np.asarray(links, float)
    # Standard approximation as the start: half the links that are not on the sprockets.
    centre = np.maximum((wanted - (z1 + z2) / 2) * pitch / 2, touching)
    for _ in range(_ROUNDS):
        tangent = _tangent(centre, difference)
        straight = (2 * tangent + excess_length(tangent, slack)) / pitch
        miss = straight + _wrapped(z1, z2, _run_angle(centre, difference)) - wanted
        step = miss / _links_per_centre(centre, tangent, z2 - z1, difference, pitch, slack)
        centre = np.maximum(centre - step, touching)
        if not np.any(np.abs(step) > _CLOSE * centre):
            break
    reached = np.abs(links_at_slack(centre, z1, z2, pitch, slack) - wanted) < 1e-9
    return np.asarray(np.where(reached & (centre > touching), centre, np.nan))


def axle_for_links(
    links: Values,
    front: Values,
    rear: Values,
    pitch: Values,
    slack: Values,
    angle: Values,
    sprocket_forward: Values,
    sprocket_up: Values,
) -> Floats:
    """Axle position along the arm at which `links` have the slack asked for; NaN if there is none."""
    centre = centre_for_links(links, front, rear, pitch, slack)
    return axle_at_centre_distance(centre, angle, sprocket_forward, sprocket_up)


def slack_per_axle(
    axle_position: Values,
    slack: Values,
    front: Values,
    rear: Values,
    pitch: Values,
    angle: Values,
    sprocket_forward: Values,
    sprocket_up: Values,
) -> Floats:
    """How much slack a chain loses for each length that the axle goes back, with the axle here at this slack.

    The links do not change: ds/dL = −(∂n/∂C)/(∂n/∂s) · dC/dL, with the excess' ∂e/∂s = s/√(t² + s²). Infinite at no
    slack.
    """
    centre = centre_distance(axle_position, angle, sprocket_forward, sprocket_up)
    s, difference = np.asarray(slack, float), _difference(front, rear, pitch)
    tangent, teeth = _tangent(centre, difference), np.asarray(rear, float) - front
    per_slack = s / np.hypot(tangent, s) / pitch
    along = np.asarray(sprocket_forward, float) * np.cos(angle) + np.asarray(sprocket_up, float) * np.sin(angle)
    centre_per_axle = (np.asarray(axle_position, float) + along) / centre
    with np.errstate(divide="ignore", over="ignore"):
        per_centre = _links_per_centre(centre, tangent, teeth, difference, pitch, slack)
        return np.asarray(per_centre / per_slack * centre_per_axle)


def even_links_between(shortest: float, longest: float) -> tuple[int, ...]:
    """The even link counts from `shortest` to `longest`, both included."""
    first = 2 * int(np.ceil((shortest - 1e-9) / 2))
    last = 2 * int(np.floor((longest + 1e-9) / 2))
    return tuple(range(first, last + 1, 2))


def _links_per_centre(
    centre: Floats, tangent: Floats, teeth: Floats, difference: Floats, pitch: Values, slack: Values
) -> Floats:
    """∂n/∂C of `links_at_slack`; `teeth` is how many more the rear has, `difference` that of the pitch radii.

    dt/dC = C/t; dα/dC = −(r₂ − r₁)/(C·t); the excess shortens by (1 − t/√(t² + s²)) of the run's growth.
    """
    stretched = (centre / tangent) * (1 + tangent / np.hypot(tangent, slack)) / pitch
    return np.asarray(stretched - teeth / np.pi * difference / (centre * tangent))


def _difference(front: Values, rear: Values, pitch: Values) -> Floats:
    """r₂ − r₁ of the pitch circles."""
    return np.asarray(pitch_radius(rear, pitch) - pitch_radius(front, pitch))


def _tangent(centre: Floats, difference: Floats) -> Floats:
    square = centre**2 - difference**2
    return np.asarray(np.sqrt(np.where(square > 0, square, np.nan)))


def _run_angle(centre: Floats, difference: Floats) -> Floats:
    """α between a straight run and the line of centres: sin α = (r₂ − r₁)/C; NaN beyond a right angle."""
    sine = difference / centre
    return np.asarray(np.arcsin(np.where(np.abs(sine) < 1, sine, np.nan)))


def _wrapped(front: Floats, rear: Floats, alpha: Floats) -> Floats:
    """Links on both sprockets: the wraps π ∓ 2α counted in teeth."""
    return np.asarray((front + rear) / 2 + (rear - front) * alpha / np.pi)
