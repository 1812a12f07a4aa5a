"""Made-up photographs of known geometry, through OpenCV's camera, for the tests of the photo room and its window."""

from __future__ import annotations

from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from gearplan.photo.points import Doubted, Group, Point, Sight

Floats = NDArray[np.float64]

PITCH = 0.015875


@dataclass(frozen=True)
class Taken:
    """A photograph: what was pointed at, what is known, and what is true (m, rad)."""

    points: tuple[Point, ...]
    sight: Sight
    shaft_forward: float
    shaft_up: float
    arm: float
    angle: float
    wheelbase: float


@dataclass(frozen=True)
class Scene:
    """A bike before a camera. Lengths in m, angles in rad; x forward, y up, z towards the camera, from the axle."""

    front: int = 15
    rear: int = 46
    arm: float = 0.577
    angle: float = 0.148
    shaft: tuple[float, float] = (0.062, 0.021)
    wheelbase: float = 1.415
    axle_height: float = 0.305
    front_height: float = 0.295
    elongation: float = 0.005
    seats: tuple[float, float] = (0.0025, 0.0025)
    sag: float = 0.002
    head: float = 0.025
    middle: float = 0.085
    rims: tuple[tuple[float, float], tuple[float, float]] = ((0.232, 0.062), (0.230, 0.043))
    distance: float = 3.0
    focal: float = 40.0
    size: tuple[int, int] = (4000, 3000)
    tilt: tuple[float, float, float] = (0.05, -0.04, 0.01)
    bend: float = -0.03
    leftward: bool = False
    #: Where the pins that are pointed at begin, as an angle or along the run, and how many pins on the next one is.
    starts: tuple[float, float, float] = (1.8, -0.5, 0.08)
    strides: tuple[int, int, int] = (4, 1, 6)

    @property
    def focal_px(self) -> float:
        """A focal length as for film of 24 × 36 mm, by the diagonal, in pixels."""
        return self.focal / 43.2666 * float(np.hypot(*self.size))

    @property
    def pivot(self) -> Floats:
        return self.arm * np.array([np.cos(self.angle), np.sin(self.angle)])

    def places(self, pins: tuple[int, int, int] = (6, 4, 4), rim: int = 6) -> dict[Group, Floats]:
        """Where everything is, (n, 3). The pins follow one another the way a chain lies: over the top and down."""
        shaft = self.pivot + np.array(self.shaft)
        radii = [
            PITCH / 2 / np.sin(np.pi / z) * (1 + s) for z, s in zip((self.rear, self.front), self.seats, strict=True)
        ]
        phase_rear, phase_front, along = self.starts

        def arc(centre: Floats, radius: float, teeth: int, phase: float, numbers: NDArray[np.int_]) -> Floats:
            angles = phase + 2 * np.pi / teeth * numbers
            return np.asarray(centre + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1))

        # The upper run by similar triangles: the tangents of two circles meet where the line of centres is divided
        # outward in the ratio of the radii.
        centre = np.hypot(*shaft)
        apex = shaft * radii[0] / (radii[0] - radii[1])
        lean = np.arctan2(shaft[1], shaft[0]) - np.arcsin(radii[0] / np.hypot(*apex))
        direction = np.array([np.cos(lean), np.sin(lean)])
        leaves = apex - direction * np.sqrt(np.hypot(*apex) ** 2 - radii[0] ** 2)
        length = np.sqrt(centre**2 - (radii[0] - radii[1]) ** 2)
        s = along + PITCH * (1 + self.elongation) * self.strides[2] * np.arange(pins[2])
        hang = self.sag * (1 - (2 * s / length - 1) ** 2)
        normal = np.array([direction[1], -direction[0]])
        run = leaves + s[:, None] * direction + hang[:, None] * normal

        def wheel(x: float, y: float, radius: float, edge: float, count: int) -> Floats:
            angles = 0.4 + 2 * np.pi * np.arange(count) / max(count, 1)
            ring = np.stack([x + radius * np.cos(angles), y + radius * np.sin(angles)], axis=1)
            return _raised(ring, edge - self.middle)

        up = self.front_height - self.axle_height
        return {
            "rear": _raised(arc(np.zeros(2), radii[0], self.rear, phase_rear, self.strides[0] * np.arange(pins[0])), 0),
            "front": _raised(arc(shaft, radii[1], self.front, phase_front, self.strides[1] * np.arange(pins[1])), 0),
            "run": _raised(run, 0),
            "pivot": _raised(self.pivot[None], self.head),
            "ground rear": _raised(np.array([[0.0, -self.axle_height]]), -self.middle),
            "ground front": _raised(np.array([[self.wheelbase, -self.axle_height]]), -self.middle),
            "rim rear": wheel(0.0, 0.0, *self.rims[0], rim),
            "rim front": wheel(self.wheelbase, up, *self.rims[1], rim),
        }

    def camera(self) -> tuple[Floats, Floats, Floats, Floats]:
        """Rotation vector, shift, matrix and distortion as OpenCV takes them, the bike in the picture's middle.

        Its left side is the right side in a mirror: x changes its sign before.
        """
        turn = np.diag([1.0, -1.0, -1.0])
        for axis, angle in zip(((0, 1, 0), (1, 0, 0), (0, 0, 1)), self.tilt, strict=True):
            turn = cv2.Rodrigues(np.array(axis, float) * angle)[0] @ turn
        middle = np.array([self.wheelbase / 2 * (-1 if self.leftward else 1), 0.05, 0.0])
        shift = np.array([0.0, 0.0, self.distance]) - turn @ middle
        width, height = self.size
        matrix = np.array([[self.focal_px, 0, width / 2], [0, self.focal_px, height / 2], [0, 0, 1]])
        return np.asarray(cv2.Rodrigues(turn)[0], float), shift, matrix, np.array([self.bend, 0, 0, 0, 0])

    def seen(self, places: Floats) -> Floats:
        """Pixels of places (n, 3)."""
        if not len(places):
            return np.zeros((0, 2))
        facing = places * [-1, 1, 1] if self.leftward else places
        return np.asarray(cv2.projectPoints(facing, *self.camera())[0], float).reshape(-1, 2)

    def photograph(
        self,
        rng: np.random.Generator | None = None,
        *,
        pins: tuple[int, int, int] = (6, 4, 4),
        rim: int = 6,
        click: float = 1.5,
        focal_known: float | None = 0.03,
    ) -> Taken:
        """Point at everything, with errors if `rng` is given: each click, and where the tyres touch the ground."""
        points = []
        for group, places in self.places(pins, rim).items():
            if rng is not None and group.startswith("ground"):
                places = places + np.concatenate([rng.normal(0, (0.012, 0.003), (len(places), 2)), [[0]]], axis=1)
            pixels = self.seen(places)
            if rng is not None:
                pixels = pixels + rng.normal(0, click, pixels.shape)
            stride = dict(zip(("rear", "front", "run"), self.strides, strict=True)).get(group, 1)
            points += [Point(group, float(x), float(y), stride * i + 1) for i, (x, y) in enumerate(pixels)]
        focal = None
        if focal_known is not None:
            focal = self.focal_px * (1.0 if rng is None else float(np.exp(rng.normal(0, focal_known))))
        sight = Sight(self.size, PITCH, self.front, self.rear, Doubted(0.005, 0.003), focal)
        return Taken(tuple(points), sight, *self.shaft, self.arm, self.angle, self.wheelbase)


def _raised(flat: Floats, z: float) -> Floats:
    return np.concatenate([flat, np.full((len(flat), 1), z)], axis=1)


def random_scene(rng: np.random.Generator) -> Scene:
    """Some bike before some camera, everything doubtful drawn from its usual range."""
    scene = Scene()
    while True:
        arm, angle = rng.uniform(0.50, 0.65), np.radians(rng.uniform(2, 14))
        scene = replace(
            scene,
            front=int(rng.integers(13, 18)),
            rear=int(rng.integers(38, 53)),
            arm=arm,
            angle=angle,
            shaft=(rng.uniform(0.03, 0.11), rng.uniform(-0.02, 0.05)),
            wheelbase=rng.uniform(1.25, 1.60),
            axle_height=rng.uniform(0.28, 0.33),
            front_height=rng.uniform(0.28, 0.33),
            elongation=rng.normal(0.005, 0.003),
            seats=tuple(rng.normal(0.0025, 0.003, 2)),
            sag=rng.normal(0, 0.004),
            head=rng.normal(0.025, 0.008),
            middle=rng.normal(0.085, 0.015),
            rims=(
                (rng.normal(0.232, 0.012), rng.normal(0.062, 0.015)),
                (rng.normal(0.230, 0.012), rng.normal(0.043, 0.01)),
            ),
            distance=rng.uniform(1.5, 6.0),
            focal=rng.uniform(24, 70),
            tilt=tuple(np.radians(rng.uniform(-1, 1, 3) * [12, 10, 3])),
            bend=rng.uniform(-0.08, 0.03),
            leftward=bool(rng.integers(2)),
            starts=(rng.uniform(1.6, 2.0), rng.uniform(-0.9, 0.0), rng.uniform(0.05, 0.12)),
        )
        seen = scene.seen(np.concatenate(list(scene.places().values())))
        width, height = scene.size
        # The whole bike is in the picture, and fills a good part of it.
        inside = (seen > 0).all() and (seen[:, 0] < width).all() and (seen[:, 1] < height).all()
        if inside and np.ptp(seen[:, 0]) > 0.55 * width:
            return scene
