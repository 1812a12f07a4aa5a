"""Ranks candidates by the aims: which are beaten in everything, and how well each serves all aims together."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.stock import Stock
from gearplan.language import tr
from gearplan.plan.choices.candidates import Candidates
from gearplan.plan.choices.figures import top_speed
from gearplan.plan.choices.stockcost import prices
from gearplan.plan.choices.verdicts import Unjudged
from gearplan.plan.choices.wishes import Wish
from gearplan.plan.findings import Finding

Floats = NDArray[np.float64]
Ints = NDArray[np.int_]
Bools = NDArray[np.bool_]

#: What everybody wishes without saying it, against 1 for what was said: few new parts, a motorcycle that stays much as
#: it is, and a smooth chain.
_FEW_PARTS, _LITTLE_CHANGE, _SMOOTH = 0.5, 0.5, 0.25
#: Differences between the best and the worst below these are no reason to prefer one: engine speed 2 %, top speed and
#: price 3 % of the best, mass 0.2 kg, chordal dip 0.2 %, lap 0.1 s, one part. Common practice, no source.
_REVS, _SHARE, _MASS, _DIP, _LAP = 0.02, 0.03, 0.2, 0.002, 0.1
#: Worst in one aim still counts this much, so that one aim alone never decides.
_FLOOR = 0.1


@dataclass(frozen=True, eq=False)
class Aim:
    """Something to be had as low as can be; `wish` is None for what goes without saying.

    `span` is the least difference that the whole scale from best to worst may mean.
    """

    wish: Wish | None
    value: Floats
    weight: float
    span: float


def aims(
    found: Candidates, wishes: tuple[Wish, ...], stock: Stock | None, lap_times: Floats | None
) -> tuple[tuple[Aim, ...], tuple[Unjudged, ...]]:
    """The aims said and unsaid, and those that cannot be judged on this bike."""
    known: list[Aim] = []
    not_known: list[Unjudged] = []
    for wish in wishes:
        if not wish.aim:
            continue
        value = _aim(found, wish, stock, lap_times)
        if isinstance(value, Unjudged):
            not_known.append(value)
        else:
            known.append(Aim(wish, value, 1.0, _span(wish.kind, value)))
    known.append(Aim(None, found.new_parts.astype(float), _FEW_PARTS, 1.0))
    if not np.isnan(found.revs).any():
        known.append(Aim(None, np.abs(found.revs - 1), _LITTLE_CHANGE, _REVS))
    known.append(Aim(None, found.chordal_dip, _SMOOTH, _DIP))
    return tuple(known), tuple(not_known)


def _span(kind: str, value: Floats) -> float:
    """The least span of the scale for an aim."""
    known = {"calmer": _REVS, "livelier": _REVS, "lighter": _MASS, "smoother": _DIP, "quickest": _LAP, "fewest": 1.0}
    finite = value[np.isfinite(value)]
    return known.get(kind) or (max(_SHARE * abs(float(finite.min())), 1e-9) if len(finite) else 1.0)


def _aim(found: Candidates, wish: Wish, stock: Stock | None, lap_times: Floats | None) -> Floats | Unjudged:
    match wish.kind:
        case "calmer":
            return found.revs
        case "livelier":
            return -found.revs
        case "faster":
            speeds = top_speed(found)
            return Unjudged(wish, speeds.text, speeds.field) if isinstance(speeds, Finding) else -speeds
        case "lighter":
            if np.isnan(found.mass).all():
                return Unjudged(wish, tr("what the chain weighs is not known"), "final_drive.chain_mass_kg_per_m")
            return found.mass
        case "smoother":
            return found.chordal_dip
        case "cheaper":
            if stock is None:
                return Unjudged(wish, tr("no stock list with prices is open"))
            return prices(found, stock)
        case "quickest":
            if lap_times is None:
                return Unjudged(wish, tr("no circuit is open, or its lap cannot be computed"))
            return lap_times
        case _:
            return found.new_parts.astype(float)


def one_chain_each(found: Candidates, among: Bools) -> Ints:
    """Of every pair of sprockets, size and tyre the link count to take among those marked, as indices.

    The chain at hand if it will do, else the count nearest to it, the shorter of two; without one the longest.
    """
    where = np.nonzero(among)[0]
    at_hand = found.on.set.links
    links = found.links[where]
    far = -links if at_hand is None else np.abs(links - at_hand)
    pair = found.pair[where]
    order = np.lexsort((links, far, pair))
    same = np.diff(pair[order], prepend=-1) == 0
    return np.sort(where[order[~same]])


def in_tie_order(found: Candidates, among: Ints) -> Ints:
    """The same indices: smoother first, then wear better spread, then lighter, then clearer of the pivot."""
    mass = np.nan_to_num(found.mass[among], nan=np.inf)
    clear = np.nan_to_num(found.clearance[among], nan=-np.inf)
    keys = (among, -clear, mass, -found.meets_again[among], found.chordal_dip[among])
    return among[np.lexsort(keys)]


def not_beaten(found: Candidates, known: tuple[Aim, ...], among: Ints) -> Ints:
    """Those of the indices that no other beats: as good in every aim and better in one, or first in the tie order."""
    order = in_tie_order(found, among)
    # Rounded, so that a tooth more and a tooth less, equal by arithmetic, do not differ by the last bit.
    table = np.round(np.stack([np.nan_to_num(aim.value[order], nan=np.inf) for aim in known]), 11)
    kept: list[int] = []
    # Sorted by the sum of ranks, whoever is beaten is beaten by one that comes earlier.
    ranks = np.stack([np.searchsorted(np.sort(row), row) for row in table]).sum(axis=0)
    for k in np.argsort(ranks, kind="stable").tolist():
        rivals = table[:, kept]
        if not np.any(np.all(rivals <= table[:, [k]], axis=0)):
            kept.append(k)
    return np.sort(order[kept])


def rating(known: tuple[Aim, ...], among: Ints, every: Ints) -> Floats:
    """How well each of `every` serves all aims together, 0 to 1, on the scale that `among` spans.

    Each aim gives a share from 1 (the best of them) to 0 (the worst, or the aim's least span away from the best); the
    rating is the product of (0.1 + 0.9·share) to the power of the aim's weight, so a set that serves all aims fairly
    comes before one that serves one and fails another.
    """
    total = np.ones(len(every))
    for aim in known:
        scale = aim.value[among]
        scale = scale[np.isfinite(scale)]
        best = float(scale.min()) if len(scale) else 0.0
        span = max(float(scale.max()) - best, aim.span) if len(scale) else aim.span
        share = np.clip(np.nan_to_num(1 - (aim.value[every] - best) / span, nan=0.0), 0.0, 1.0)
        total = total * (_FLOOR + (1 - _FLOOR) * share) ** aim.weight
    return total
