"""What is unknown in a photograph of the chain's side, what is known of it beforehand, and how far the points miss.

The origin is the rear sprocket's centre, in the plane of the chain's outer plates; x forward along the ground, y up.
Lengths in m, angles in rad, misses in px. The bands beforehand are common experience, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.drive.sprocket import pitch_radius
from gearplan.photo import camera
from gearplan.photo.camera import Cameras, Floats
from gearplan.photo.points import GROUPS, PINS, Group, Point, Sight, of

#: How far off a click is (px), one standard deviation.
CLICK = 1.5
#: Where a tyre touches the ground is seen no better than this (m): along the ground, and upright.
_CONTACT = (0.012, 0.003)

_GROUND: tuple[Group, ...] = ("ground rear", "ground front")

#: The unknowns, in the order of the columns.
NAMES = (
    "yaw", "pitch", "roll", "right", "down", "log_distance", "log_focal", "bend",
    "elongation", "rear_seat", "front_seat", "rear_phase", "front_x", "front_y", "front_phase", "run_start", "sag",
    "pivot_x", "pivot_y", "head", "middle", "ground", "wheelbase",
    "rear_rim", "rear_edge", "front_up", "front_rim", "front_edge",
)  # fmt: skip
AT = {name: place for place, name in enumerate(NAMES)}

#: What is known beforehand whatever the picture: the middle and the standard doubt.
_BEFORE: dict[str, tuple[float, float]] = {
    "yaw": (0.0, 0.17),
    "pitch": (0.0, 0.17),
    "roll": (0.0, 0.045),
    "bend": (-0.025, 0.032),
    # A worn chain's pins lie a little outside the pitch circle.
    "rear_seat": (0.0025, 0.003),
    "front_seat": (0.0025, 0.003),
    "sag": (0.0, 0.004),
    # The wheels' middle plane behind the chain, and the rims' edges before it.
    "middle": (0.085, 0.015),
    "rear_edge": (0.062, 0.015),
    "front_edge": (0.043, 0.010),
    "ground": (0.31, 0.06),
    "wheelbase": (1.4, 0.25),
    "rear_rim": (0.23, 0.04),
    "front_rim": (0.23, 0.04),
    "front_up": (0.0, 0.04),
}
#: A focal length that the picture tells, and one that it doesn't: the doubt of its logarithm.
_FOCAL_TOLD, _FOCAL_OPEN = 0.03, 0.4
#: How far the first guess may be off for what is known from the picture alone.
_GUESSED = {"log_distance": 1.0, "right": 1.0, "down": 1.0, "front_x": 0.2, "front_y": 0.2, "pivot_x": 0.3,
            "pivot_y": 0.3, "run_start": 0.5, "rear_phase": 10.0, "front_phase": 10.0}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Start:
    """A first guess of all unknowns, and what it settles for good.

    `mirrored` with the bike's front to the left. The `ways` say whether a group's pins are numbered in the direction in
    which angles and the run's length grow (1) or against it (−1). `scale` is in px a metre.
    """

    unknowns: Floats
    mirrored: bool
    ways: dict[str, int]
    scale: float


class Model:
    """The misses of all points and of what was known beforehand, over the unknowns."""

    def __init__(self, points: tuple[Point, ...], sight: Sight, start: Start) -> None:
        self.points = tuple(p for group in GROUPS for p in of(points, group))
        self.sight, self.start = sight, start
        middle = np.array(sight.size) / 2
        self._pixels = np.array([(p.x, p.y) for p in self.points]) - middle
        counts = [len(of(points, group)) for group in GROUPS]
        ends = np.cumsum([0, *counts]).tolist()
        self._rows = {group: slice(ends[k], ends[k + 1]) for k, group in enumerate(GROUPS)}
        self._numbers = {
            group: start.ways[group] * np.array([p.number for p in of(points, group)], float) for group in PINS
        }
        # Pins and bolts are as good as the click; contacts are vague; a rim's point counts across the rim only.
        self._doubt = np.full((len(self.points), 2), CLICK)
        for group in _GROUND:
            self._doubt[self._rows[group]] = np.hypot(CLICK, np.array(_CONTACT) * start.scale)
        # The rims are the last two groups.
        self._placed, self._behind = sum(counts[:-2]), counts[-2]
        self.before, self.wide = self._known_before()

    def _known_before(self) -> tuple[Floats, Floats]:
        sight, start = self.sight, self.start
        middle, wide = start.unknowns.copy(), np.empty(len(NAMES))
        for name, doubt in _GUESSED.items():
            wide[AT[name]] = doubt
        for name, (value, doubt) in _BEFORE.items():
            middle[AT[name]], wide[AT[name]] = value, doubt
        wide[AT["log_focal"]] = _FOCAL_TOLD if sight.focal is not None else _FOCAL_OPEN
        middle[AT["elongation"]], wide[AT["elongation"]] = sight.elongation.value, sight.elongation.doubt
        middle[AT["head"]], wide[AT["head"]] = sight.head.value, sight.head.doubt
        return middle, wide

    def cameras(self, unknowns: Floats) -> Cameras:
        """The cameras of (n, unknowns)."""
        at = unknowns.T
        turn = camera.turns(at[AT["yaw"]], at[AT["pitch"]], at[AT["roll"]], self.start.mirrored)
        distance = np.exp(at[AT["log_distance"]])
        shift = np.stack([at[AT["right"]] * distance, at[AT["down"]] * distance, distance], axis=-1)
        return Cameras(turn, shift, np.exp(at[AT["log_focal"]]), at[AT["bend"]])

    def misses(self, unknowns: Floats) -> Floats:
        """How far each point lies from where it should be (px); (n, points, 2). A rim's point misses across it only."""
        at = dict(zip(NAMES, unknowns.T[:, :, None], strict=True))
        cameras = self.cameras(unknowns)
        n = len(unknowns)
        placed = np.zeros((n, self._placed, 3))

        def put(group: Group, x: Floats, y: Floats, z: Floats | float = 0.0) -> None:
            rows = self._rows[group]
            for axis, value in enumerate((x, y, z)):
                placed[:, rows, axis] = value

        rear = pitch_radius(self.sight.rear, self.sight.pitch) * (1 + at["rear_seat"])
        front = pitch_radius(self.sight.front, self.sight.pitch) * (1 + at["front_seat"])
        angle = at["rear_phase"] + 2 * np.pi / self.sight.rear * self._numbers["rear"]
        put("rear", rear * np.cos(angle), rear * np.sin(angle))
        angle = at["front_phase"] + 2 * np.pi / self.sight.front * self._numbers["front"]
        put("front", at["front_x"] + front * np.cos(angle), at["front_y"] + front * np.sin(angle))
        along = at["run_start"] + self._numbers["run"] * self.sight.pitch * (1 + at["elongation"])
        put("run", *_on_run(rear, front, at["front_x"], at["front_y"], along, at["sag"]))
        put("pivot", at["pivot_x"], at["pivot_y"], at["head"])
        put("ground rear", np.zeros((n, 1)), -at["ground"], -at["middle"])
        put("ground front", at["wheelbase"], -at["ground"], -at["middle"])
        off = np.zeros((n, len(self.points), 2))
        off[:, : self._placed] = camera.project(cameras, placed) - self._pixels[: self._placed]
        if rims := len(self.points) - self._placed:
            scale = np.exp(unknowns[:, AT["log_focal"]] - unknowns[:, AT["log_distance"]])
            behind, height, centre_x, centre_y, radius = self._behind, *np.zeros((4, n, rims))
            height[:, :behind], radius[:, :behind] = at["rear_edge"] - at["middle"], at["rear_rim"]
            height[:, behind:], radius[:, behind:] = at["front_edge"] - at["middle"], at["front_rim"]
            centre_x[:, behind:], centre_y[:, behind:] = at["wheelbase"], at["front_up"]
            met = camera.on_plane(cameras, self._pixels[self._placed :], height)
            across = np.hypot(met[..., 0] - centre_x, met[..., 1] - centre_y) - radius
            off[:, self._placed :, 0] = across * scale[:, None]
        return off

    def residuals(self, unknowns: Floats) -> Floats:
        """All misses over their doubts: of the points, then of what was known beforehand; (n, rows)."""
        off = self.misses(unknowns) / self._doubt
        return np.concatenate([off.reshape(len(unknowns), -1), (unknowns - self.before) / self.wide], axis=1)

    @property
    def freedom(self) -> int:
        """How many misses are more than the unknowns that they settle: rims count once, knowledge balances."""
        return len(self.points) + self._placed


def _on_run(
    rear: Floats, front: Floats, front_x: Floats, front_y: Floats, along: Floats, sag: Floats
) -> tuple[Floats, Floats]:
    """Points of the upper run, `along` from where it leaves the rear sprocket; it hangs as a parabola by `sag`."""
    centre = np.hypot(front_x, front_y)
    ahead_x, ahead_y = front_x / centre, front_y / centre
    sine = np.clip((rear - front) / centre, -0.99, 0.99)
    cosine = np.sqrt(1 - sine**2)
    # The direction from each centre to its tangent point.
    out_x, out_y = ahead_x * sine - ahead_y * cosine, ahead_y * sine + ahead_x * cosine
    length = centre * cosine
    share = along / length
    off = rear - 4 * sag * share * (1 - share)
    # The run's direction is the outward one turned clockwise.
    return out_x * off + out_y * along, out_y * off - out_x * along
