"""Apex speeds that make the fitted set lap in a rider's own time. SI: s, m/s."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import median

from gearplan.bike.circuit import Circuit, section_entry
from gearplan.bike.profile import Bike
from gearplan.bike.sections.doubts import LEAST_LATERAL, MOST_LATERAL
from gearplan.bike.text.units import KMH, STANDARD_GRAVITY
from gearplan.bike.text.written import lap_time
from gearplan.drive.lap.rules import LapRules, apex_speed
from gearplan.language import tr, trn
from gearplan.plan.driveset import fitted
from gearplan.plan.findings import Finding
from gearplan.plan.laps.view import set_ranking
from gearplan.setup.limits import friction

#: Lap times are told to hundredths: the search ends well within one.
_CLOSE = 1e-3
_MOST_TRIES = 60
#: The computed lap is the own one already from within so much (s).
_SAME = 0.005


@dataclass(frozen=True, slots=True)
class OwnLap:
    """The circuit with the apex speeds of an own lap, and in words what was done and taken for it.

    `before` and `after` are the fitted set's laps (s), `factor` is what the apex speeds were multiplied by.
    """

    circuit: Circuit
    factor: float
    before: float
    after: float
    told: str


def own_lap(bike: Bike, circuit: Circuit, wanted: float, rules: LapRules | None = None) -> OwnLap | Finding:
    """The circuit whose apex speeds, all changed by one factor, make the fitted set lap in `wanted` seconds.

    The finding says what is missing, or that no grip explains such a lap: to the side the middle corner then takes
    less or more than any tyre (`bike.sections.doubts`). Cost: a lap of one set some ten times.
    """
    ranking = set_ranking(bike, fitted(bike), circuit, rules)
    if isinstance(ranking, Finding):
        return ranking
    before = ranking.fitted_time
    if before is None:
        return Finding("check", "lap", " ".join(ranking.notes))
    if not circuit.corners:
        return Finding("check", "lap", tr("The circuit has no corner, so no apex speed explains a lap time."))
    known = friction(bike).value
    apexes = {n: apex_speed(circuit.sections[n], known) for n in circuit.corners}
    side = median(_to_the_side(circuit, n, apex, known) for n, apex in apexes.items())

    def at(factor: float) -> Circuit:
        return _scaled(circuit, apexes, factor)

    def lap(factor: float) -> float:
        ridden = set_ranking(bike, fitted(bike), at(factor), rules)
        assert not isinstance(ridden, Finding)
        return float("nan") if ridden.fitted_time is None else ridden.fitted_time

    if abs(before - wanted) < _SAME:
        return OwnLap(
            circuit, 1.0, before, before, tr("The fitted set laps in {before} already.", before=lap_time(before))
        )
    end = ((MOST_LATERAL if wanted < before else LEAST_LATERAL) / side) ** 0.5
    extreme = lap(end)
    # A circuit may already ask for more than any tyre gives.
    beyond = end < 1 if wanted < before else end > 1
    if beyond or not (extreme < wanted if wanted < before else extreme > wanted):
        return _unexplained(before, wanted, before if beyond else extreme)
    factor = _found(lap, (1.0, before), (end, extreme), wanted)
    made = at(factor)
    after = lap(factor)
    told = trn(
        "Apex speeds of {n} corner times {factor:.3f}: the fitted set laps in {after} in place of {before}. "
        "The middle corner takes {then:.2f} g to the side in place of {now:.2f}. Assumed: the corners "
        "alone explain the difference, all by the same factor; thrust, braking and shifts are as entered.",
        "Apex speeds of {n} corners times {factor:.3f}: the fitted set laps in {after} in place of {before}. "
        "The middle corner takes {then:.2f} g to the side in place of {now:.2f}. Assumed: the corners "
        "alone explain the difference, all by the same factor; thrust, braking and shifts are as entered.",
        len(apexes),
        factor=factor,
        after=lap_time(after),
        before=lap_time(before),
        then=side * factor**2 / STANDARD_GRAVITY,
        now=side / STANDARD_GRAVITY,
    )
    return OwnLap(made, factor, before, after, told)


def _to_the_side(circuit: Circuit, n: int, apex: float, known: float) -> float:
    """Sideways acceleration in a corner (m/s²); that of the tyre's grip where its radius is not known."""
    radius = circuit.sections[n].line_radius_m
    return apex**2 / radius if radius else known * STANDARD_GRAVITY


def _scaled(circuit: Circuit, apexes: dict[int, float], factor: float) -> Circuit:
    most, least = section_entry("apex_kmh").high, section_entry("apex_kmh").low
    assert most is not None
    assert least is not None
    sections = list(circuit.sections)
    for n, apex in apexes.items():
        sections[n] = replace(sections[n], apex_kmh=round(min(max(apex * factor / KMH, least), most), 2))
    return replace(circuit, sections=tuple(sections))


def _unexplained(before: float, wanted: float, extreme: float) -> Finding:
    grip = (MOST_LATERAL if wanted < before else LEAST_LATERAL) / STANDARD_GRAVITY
    given = {"wanted": lap_time(wanted), "grip": grip, "extreme": lap_time(extreme)}
    if wanted < before:
        told = tr(
            "No grip explains a lap of {wanted}: even with {grip:g} g to the side in the corners the fitted "
            "set laps in {extreme}, too slow. Check the lap time, the length of the circuit, its corners and "
            "the braking.",
            **given,
        )
    else:
        told = tr(
            "No grip explains a lap of {wanted}: even with {grip:g} g to the side in the corners the fitted "
            "set laps in {extreme}, too quick. Check the lap time, the length of the circuit, its corners and "
            "the braking.",
            **given,
        )
    return Finding("check", "lap", told)


def _found(lap: Callable[[float], float], one: tuple[float, float], other: tuple[float, float], wanted: float) -> float:
    """The factor between two whose lap times lie on either side: false position, halved where it creeps (Illinois)."""
    (a, fa), (b, fb) = (one[0], one[1] - wanted), (other[0], other[1] - wanted)
    at = b
    for _ in range(_MOST_TRIES):
        at = b - fb * (b - a) / (fb - fa)
        now = lap(at) - wanted
        if abs(now) < _CLOSE:
            break
        if (now < 0) != (fb < 0):
            a, fa = b, fb
        else:
            fa /= 2
        b, fb = at, now
    return at
