"""Numbers rounded as a person would say them, with "about" or "roughly" as sure as they are."""

from __future__ import annotations

import math
from dataclasses import dataclass

#: Relative doubt from which a number is said with "about", and from which with "roughly".
_ABOUT_FROM, _ROUGHLY_FROM = 0.003, 0.05
#: Nobody says more digits than this share of the number, however sure it is.
_FINEST = 0.01


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in a sentence: as it is `shown`, the `exact` value behind it, and what it is (`of`, with its unit).

    `shown` differs from `exact` by no more than half a `step`.
    """

    shown: float
    exact: float
    of: str
    step: float


def step_for(value: float, doubt: float) -> float:
    """The step to round to: 1 or 5 times a power of ten, nearest to the doubt or to 1 % of the value."""
    wanted = max(abs(doubt), _FINEST * abs(value), 1e-12)
    power = math.floor(math.log10(wanted))
    steps = [m * 10.0**p for p in (power, power + 1) for m in (1, 5)]
    return min(steps, key=lambda step: abs(math.log(step / wanted)))


def said(value: float, doubt: float, of: str, least: float = 1.0) -> Figure:
    """A value rounded as sure as it is; never finer than `least`."""
    step = max(step_for(value, doubt), least)
    return Figure(round(value / step) * step, value, of, step)


def alike(value: float, other: Figure) -> Figure:
    """A value rounded to the step of another, so that their difference is that of the exact ones within a step."""
    return Figure(round(value / other.step) * other.step, value, other.of, other.step)


def adverb(value: float, doubt: float) -> str:
    """ "roughly ", "about " or nothing, by the relative doubt."""
    share = abs(doubt / value) if value else math.inf
    if share >= _ROUGHLY_FROM:
        return "roughly "
    return "about " if share >= _ABOUT_FROM else ""


def counted(count: int, one: str, many: str) -> str:
    """ "1 tooth", "2 teeth"."""
    return f"{count} {one if count == 1 else many}"


def ordinal(number: int) -> str:
    """ "1st", "2nd", "3rd", "4th" …"""
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
