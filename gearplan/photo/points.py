"""What a person points at in a photograph, and what is known beside it. Pixels from the picture's top left corner."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from gearplan.language import tr

Group = Literal["rear", "front", "run", "pivot", "ground rear", "ground front", "rim rear", "rim front"]

#: In the order in which they are pointed at.
GROUPS: tuple[Group, ...] = (
    "rear",
    "front",
    "run",
    "pivot",
    "ground rear",
    "ground front",
    "rim rear",
    "rim front",
)
#: The groups whose points are pins, which are numbered along the chain.
PINS: tuple[Group, ...] = ("rear", "front", "run")
#: The groups that are one point.
SINGLE: tuple[Group, ...] = ("pivot", "ground rear", "ground front")

_WORDS: dict[Group, str] = {
    "rear": tr("Rear sprocket"),
    "front": tr("Front sprocket"),
    "run": tr("Upper run"),
    "pivot": tr("Pivot"),
    "ground rear": tr("Ground, rear"),
    "ground front": tr("Ground, front"),
    "rim rear": tr("Rear rim"),
    "rim front": tr("Front rim"),
}


@dataclass(frozen=True, slots=True)
class Point:
    """A point in the picture (px, right and down). `number` is a pin's place along the chain in its group, from 1."""

    group: Group
    x: float
    y: float
    number: int = 1

    @property
    def name(self) -> str:
        """The point in words, such as "Rear sprocket, pin 3"."""
        if self.group in SINGLE:
            return _WORDS[self.group]
        return f"{_WORDS[self.group]}, {'pin' if self.group in PINS else 'point'} {self.number}"


@dataclass(frozen=True, slots=True)
class Doubted:
    """A value and its standard doubt, in the same unit."""

    value: float
    doubt: float


#: How far a pivot's bolt head stands out where nobody has measured it; common experience, no source.
HEAD = Doubted(0.025, 0.008)


@dataclass(frozen=True, slots=True)
class Sight:
    """What is known of picture and chain. Lengths in m, size and focal length in px, elongation a fraction.

    `focal` is None where the picture does not tell it. `head` is how far the pivot's bolt head stands out of the plane
    of the chain's outer plates, towards the camera. `wheel` is the rear wheel's rolling radius by its tyre, as a check.
    """

    size: tuple[int, int]
    pitch: float
    front: int
    rear: int
    elongation: Doubted
    focal: float | None = None
    head: Doubted = HEAD
    wheel: float | None = None


def of(points: Iterable[Point], group: Group) -> tuple[Point, ...]:
    """The points of one group, by their number."""
    return tuple(sorted((p for p in points if p.group == group), key=lambda p: p.number))


def shifted(points: tuple[Point, ...], group: Group, by: int, behind: int | None = None) -> tuple[Point, ...]:
    """The points with the pins of a group counted on by so many: all, or those behind a number."""
    return tuple(
        replace(p, number=p.number + by) if p.group == group and (behind is None or p.number > behind) else p
        for p in points
    )
