"""A wish judged on every candidate at once: who meets it, by how much the others miss it, how that is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.language import tr
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.choices.wishes import Wish
from gearplan.plan.findings import Finding
from gearplan.plan.words import teeth

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

#: What one part that should have been kept counts when the nearest set is sought, as a share of a figure missed.
PART_MISSED = 0.05
_ROUND = 1e-9


@dataclass(frozen=True, eq=False)
class Judged:
    """A limit judged on every candidate. `miss` is by what share it is missed, 0 where it is met.

    `said` tells what a candidate has instead of what was asked, from the same figures: "14/48 needs 116 links,
    you asked to keep 112".
    """

    wish: Wish
    met: Bools
    miss: Floats
    said: Callable[[int], str]


@dataclass(frozen=True, slots=True)
class Unjudged:
    """A wish that cannot be judged on this bike, and why; `field` is the one to fill, if one would help."""

    wish: Wish
    text: str
    field: str = ""


def between(wish: Wish, value: Floats, least: float, most: float, scale: float, said: Callable[[int], str]) -> Judged:
    """A figure that must lie between two ends; missed by its distance over `scale`. NaN misses."""
    slack = _ROUND * max(scale, 1e-12)
    with np.errstate(invalid="ignore"):
        met = (value >= least - slack) & (value <= most + slack)
        miss = np.maximum(np.maximum(least - value, value - most), 0) / scale
    return Judged(wish, met, np.where(met, 0.0, np.where(np.isnan(miss), np.inf, miss)), said)


def bounded(wish: Wish, value: Floats, asked: float, said: Callable[[int], str], scale: float | None = None) -> Judged:
    """A figure that must be at least, or at most, what the wish asks; missed by its distance over `scale`."""
    ends = (asked, np.inf) if wish.bound == "at least" else (-np.inf, asked)
    return between(wish, value, *ends, scale or abs(asked) or 1.0, said)


def missing(found: Candidates, *about: str) -> tuple[str, str]:
    """(What the fitted set lacks for one of these figures, the field to fill)."""
    for f in found.on.findings:
        if f.about in about and f.level != "fits" and f.field:
            return f.text, f.field
    return tr("The bike's data does not suffice for it."), ""


def named(found: Candidates, k: int) -> str:
    """A candidate as a sentence names it."""
    return teeth(found.set_at(k))


def lacking(wish: Wish, finding: Finding) -> Unjudged:
    """The wish left unjudged for what a finding says is lacking."""
    return Unjudged(wish, finding.text, finding.field)


def no_fitted(wish: Wish) -> Unjudged:
    """The wish left unjudged because there is no fitted set to compare with."""
    return Unjudged(wish, tr("which sprockets are fitted has not been entered"), "final_drive.front")
