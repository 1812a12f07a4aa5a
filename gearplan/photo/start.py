"""A first guess from which the fit begins: a flat picture, its scale from the rear sprocket's pins."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from gearplan.drive.sprocket import pitch_radius
from gearplan.photo.model import AT, NAMES, Start
from gearplan.photo.points import Group, Point, Sight, of

#: The focal length to begin with where the picture does not tell it, as a share of its diagonal: a moderate wide angle.
_FOCAL = 0.8
#: How many pins the rear sprocket needs, and the front one so that its centre is told.
REAR_PINS, FRONT_PINS = 3, 2
#: A pin numbered the wrong way round sets the centre on the wrong side of the arc: this much farther from the rest
#: of the bike (m) tells as much as a miss of one standard doubt.
_FARTHER = 0.05

#: What lies ahead of the rear sprocket's pins.
_AHEAD: tuple[Group, ...] = ("front", "run", "pivot", "ground front", "rim front")


def start(points: Iterable[Point], sight: Sight) -> Start | None:
    """The first guess; None without enough pins on the rear sprocket, or without any point that shows the front."""
    points = tuple(points)
    rear = of(points, "rear")
    ahead = [p for group in _AHEAD for p in of(points, group)]
    if len(rear) < REAR_PINS or not ahead:
        return None
    mirrored = _mean(ahead, "x") < _mean(rear, "x")
    unknowns = np.zeros(len(NAMES))

    def flat(group: Group) -> NDArray[np.complex128]:
        """The group's points as complex numbers: forward, and up."""
        found = of(points, group)
        return np.array([complex(-p.x if mirrored else p.x, -p.y) for p in found], complex)

    numbers = np.array([p.number for p in rear])
    size = float(pitch_radius(sight.rear, sight.pitch))
    rest = np.concatenate([flat(group) for group in _AHEAD])
    guesses = [(*arc(flat("rear"), numbers, way * 2 * math.pi / sight.rear), way) for way in (1, -1)]

    def unlikely(guess: tuple[complex, complex, float, int]) -> float:
        centre, radius, miss, _way = guess
        scale = abs(radius) / size
        run, cost = flat("run"), miss
        if len(run) > 1:
            along = (run[-1] - run[0]) / abs(run[-1] - run[0])
            off = abs(((centre - run[0]) / along).imag)
            cost += ((off - abs(radius)) / scale / 0.02) ** 2
        return float(cost + abs(rest - centre).mean() / scale / _FARTHER)

    centre, radius, _miss, rear_way = min(guesses, key=unlikely)
    scale = abs(radius) / size
    if not math.isfinite(scale) or scale <= 0:
        return None
    back, front = flat("ground rear"), flat("ground front")
    level = (front[0] - back[0]) / abs(front[0] - back[0]) if len(back) and len(front) and front[0] != back[0] else 1
    ways = {"rear": rear_way, "front": 1, "run": 1}

    def placed(pixels: NDArray[np.complex128]) -> NDArray[np.complex128]:
        return np.asarray((pixels - centre) / (scale * level))

    def put(name: str, value: float) -> None:
        unknowns[AT[name]] = value

    width, height = sight.size
    focal = sight.focal or _FOCAL * math.hypot(width, height)
    axle = (-centre.real if mirrored else centre.real) - width / 2, -centre.imag - height / 2
    put("roll", float(np.angle(level)) * (1 if mirrored else -1))
    put("log_focal", math.log(focal))
    put("log_distance", math.log(focal / scale))
    put("right", axle[0] / focal)
    put("down", axle[1] / focal)
    put("rear_phase", float(np.angle(radius / level)))
    shaft, phase, ways["front"] = _front(placed(flat("front")), of(points, "front"), sight)
    if len(of(points, "front")) < FRONT_PINS:
        run = placed(flat("run"))
        shaft = complex(0.55 if not len(run) else max(0.55, run.real.max()), 0.0)
        if len(pivot := placed(flat("pivot"))):
            shaft = pivot[0] + 0.07
    put("front_x", shaft.real)
    put("front_y", shaft.imag)
    put("front_phase", phase)
    if len(run := placed(flat("run"))):
        counted = np.array([p.number for p in of(points, "run")])
        ways["run"] = -1 if ((counted - counted.mean()) * run.real).sum() < 0 else 1
        put("run_start", float(np.mean(run.real - ways["run"] * counted * sight.pitch)))
    if len(pivot := placed(flat("pivot"))):
        put("pivot_x", pivot[0].real)
        put("pivot_y", pivot[0].imag)
    # The rest begins where it is usual.
    return Start(unknowns, mirrored, ways, scale)


def _front(placed: NDArray[np.complex128], pins: tuple[Point, ...], sight: Sight) -> tuple[complex, float, int]:
    """Centre, phase and way of the front sprocket of known radius: its pins lie on the side away from the rear."""
    if len(pins) < FRONT_PINS:
        return 0j, 0.0, 1
    numbers, size = np.array([p.number for p in pins]), float(pitch_radius(sight.front, sight.pitch))
    found = []
    for way in (1, -1):
        step = way * 2 * math.pi / sight.front
        _centre, radius, _miss = arc(placed, numbers, step)
        radius *= size / abs(radius)
        centres = placed - radius * np.exp(1j * step * numbers)
        centre = complex(centres.mean())
        cost = float((abs(centres - centre) ** 2).sum()) / 0.003**2 + abs(centre) / _FARTHER
        found.append((cost, centre, float(np.angle(radius)), way))
    _cost, centre, phase, way = min(found, key=lambda one: one[0])
    return centre, phase, way


def arc(placed: NDArray[np.complex128], numbers: NDArray[np.int_], step: float) -> tuple[complex, complex, float]:
    """The centre, the radius towards number 0, and the mean square miss over 9 px² of points at equal angles."""
    matrix = np.stack([np.ones(len(numbers)), np.exp(1j * step * numbers)], axis=1)
    (centre, radius), *_ = np.linalg.lstsq(matrix, placed, rcond=None)
    miss = placed - matrix @ np.array([centre, radius])
    return complex(centre), complex(radius), float((abs(miss) ** 2).sum()) / 9


def _mean(points: Iterable[Point], axis: str) -> float:
    return float(np.mean([getattr(p, axis) for p in points]))
