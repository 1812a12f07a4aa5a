"""Which pin along the chain a new point is, by how far it lies from those that have a number."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from gearplan.photo.points import PINS, SINGLE, Group, Point, of, shifted
from gearplan.photo.start import arc

#: A pin is looked for no farther than so many from the numbered ones.
_FARTHEST = 60
#: Pins over so many links tell the length of one by themselves; before that all groups together do.
_FAR = 4
#: What a distance in the picture is off by: two clicks (px), and a share of it, by the tilt and a link's length.
_CLICKS, _TILTED = 2.0, 0.04


def added(points: tuple[Point, ...], group: Group, x: float, y: float, teeth: dict[str, int]) -> tuple[Point, ...]:
    """The points with a new one; a group of one point is replaced. Pins get the number that their distances suggest.

    `teeth` of the "rear" and "front" sprocket. The first two pins are taken for neighbours unless the other groups tell
    how long a link is in the picture. The lowest number of a group is 1.
    """
    if group in SINGLE:
        return (*(p for p in points if p.group != group), Point(group, x, y))
    if group not in PINS:
        return (*points, Point(group, x, y, max((p.number for p in of(points, group)), default=0) + 1))
    number = _number(points, group, x, y, teeth)
    return _from_one((*points, Point(group, x, y, number)), group)


def removed(points: tuple[Point, ...], point: Point) -> tuple[Point, ...]:
    """The points without one; the places of the other pins along the chain stay."""
    left = tuple(p for p in points if p != point)
    if point.group in PINS:
        return _from_one(left, point.group)
    if point.group in SINGLE:
        return left
    # Points of a rim have no order of their own.
    return tuple(replace(p, number=p.number - (p.group == point.group and p.number > point.number)) for p in left)


def counted_as(points: tuple[Point, ...], point: Point, number: int) -> tuple[Point, ...]:
    """The points with a pin at another place along the chain, and those behind it as far from it as before."""
    by = number - point.number
    moved = tuple(
        replace(p, number=p.number + by) if p.group == point.group and p.number >= point.number else p for p in points
    )
    return _from_one(moved, point.group)


def _number(points: tuple[Point, ...], group: Group, x: float, y: float, teeth: dict[str, int]) -> int:
    own = of(points, group)
    if not own:
        return 1
    far = own[-1].number - own[0].number >= _FAR
    if group in teeth and far and len(own) > 2:
        return _on_arc(own, x, y, teeth[group])
    link = _link(points, group if far else None, teeth)
    if link is None:
        return own[-1].number + 1
    given = np.array([math.hypot(x - p.x, y - p.y) for p in own])
    numbers = np.array([p.number for p in own])
    best, least = own[-1].number + 1, math.inf
    for number in range(own[0].number - _FARTHEST, own[-1].number + _FARTHEST + 1):
        apart = np.abs(numbers - number)
        if not apart.all() or (group in teeth and apart.max() > teeth[group] / 2):
            continue
        off = _chords(apart, teeth.get(group)) * link - given
        miss = float(((off / (_CLICKS + _TILTED * given)) ** 2).sum())
        # One pin alone has two neighbours at the same distance: it is counted on.
        if miss < least or (miss == least and number > own[-1].number):
            best, least = number, miss
    return best


def _on_arc(own: tuple[Point, ...], x: float, y: float, teeth: int) -> int:
    """The number by the angle about the centre that the numbered pins tell."""
    pixels, numbers = np.array([complex(p.x, p.y) for p in own]), np.array([p.number for p in own])
    steps = (2 * math.pi / teeth, -2 * math.pi / teeth)
    centre, radius, _miss, step = min(((*arc(pixels, numbers, step), step) for step in steps), key=lambda one: one[2])
    middle = float(numbers.mean())
    ahead = complex(x, y) - centre
    turned = float(np.angle(ahead / (radius * np.exp(1j * step * middle)))) / step
    number = round(middle + turned)
    # What is pointed at is a pin that has no number yet.
    while number in numbers:
        number += 1 if middle + turned > number else -1
    return number


def _link(points: tuple[Point, ...], group: Group | None, teeth: dict[str, int]) -> float | None:
    """The length of a link in the picture (px), by the pins of a group, or of all; None without two of one group."""
    over = under = 0.0
    for each in PINS:
        found = of(points, each)
        if group not in (None, each) or len(found) < 2:
            continue
        for a, b in pairwise(found):
            chord = float(_chords(np.array([b.number - a.number]), teeth.get(each))[0])
            over += chord * math.hypot(a.x - b.x, a.y - b.y)
            under += chord**2
    return over / under if under else None


def _chords(
    apart: np.ndarray[tuple[int], np.dtype[np.int_]], teeth: int | None
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """How many links long the straight line over so many links is, on a sprocket of so many teeth or on the run."""
    if teeth is None:
        return apart.astype(float)
    return np.asarray(np.sin(np.pi * apart / teeth) / math.sin(math.pi / teeth))


def _from_one(points: tuple[Point, ...], group: Group) -> tuple[Point, ...]:
    found = of(points, group)
    return shifted(points, group, 1 - found[0].number) if found else points
