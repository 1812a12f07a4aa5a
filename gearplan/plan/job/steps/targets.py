"""What a step aims at and where its readings go, from the bike's service data.

What is not entered there stays a blank line, never a number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from gearplan.bike.profile import Bike, entry
from gearplan.bike.text.units import MM
from gearplan.bike.work.job import Job
from gearplan.language import tr, trn
from gearplan.plan.chain.wear import wear_limit
from gearplan.setup import assumed

from .readings import YES_NO, Blank, Kind, both_units, shown

#: Bounds of sense in SI.
TORQUE = (0.5, 400.0)
WIDTH = (4 * MM, 60 * MM)
FLARE = (1 * MM, 20 * MM)
SLACK = (0.0, 200 * MM)
POSITION = (1 * MM, 1500 * MM)

TURNS = 4  #: at so many places the slack is measured
PINS = 2
BASE_LINKS = 20  #: over so many a new chain's length is taken after its first ride


@dataclass(frozen=True, slots=True)
class Target:
    """What to aim at; `text` is empty where the service data lack it, `field` then says what to enter."""

    label: str
    text: str
    unit: str
    source: str
    field: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step. `later` marks what is done after the first ride, when the bike has gone already; `relied_on` what
    nobody may ride on without.
    """

    key: str
    title: str
    how: tuple[str, ...]
    caution: str = ""
    tool: str = ""
    targets: tuple[Target, ...] = ()
    blanks: tuple[Blank, ...] = ()
    later: bool = False
    relied_on: bool = False


def mark(job: Job, key: str) -> tuple[Blank, ...]:
    """A blank for the torque mark; a job finished before there was one keeps its sheet."""
    if job.state in ("fitted", "done") and key not in dict(job.readings):
        return ()
    return (replace(chosen(key, tr("Torque mark set"), YES_NO), optional=True),)


def setting(key: str, label: str, wanted: float | None, *, optional: bool = False) -> Blank:
    """A blank for a wrench setting; without a torque entered an optional one may stay empty."""
    return Blank(key, label, "torque", *TORQUE, expected=wanted, optional=optional and wanted is None)


def slack_expected(bike: Bike) -> float | None:
    """About how much the chain should move (m); None where nothing is entered."""
    least, most = bike.service.slack_range_mm or (None, None)
    if least is not None and most is not None:
        return (least + most) / 2 * MM
    return None if bike.chassis.slack_mm is None else bike.chassis.slack_mm * MM


def slack_blanks(bike: Bike, name: str) -> tuple[Blank, ...]:
    """A blank for each place at which the slack is measured."""
    expected = slack_expected(bike)
    return tuple(
        Blank(f"{name}_{turn}", tr("Place {turn}", turn=turn), "length", *SLACK, expected=expected)
        for turn in range(1, TURNS + 1)
    )


def allowed(bike: Bike, key: str) -> tuple[float, str]:
    """How far something may differ (m) and where that comes from: the service data, else what the trade takes."""
    known = assumed.known(bike, "service", key)
    read_in = getattr(bike.service, f"{key}_from") or tr("as entered")
    return known.value * MM, read_in if known.assumed is None else known.assumed.reason


def chosen(key: str, label: str, choices: tuple[str, ...]) -> Blank:
    """A blank where one of a few words is ticked."""
    return Blank(key, label, "choice", choices=choices)


def turns_of_wheel(job: Job) -> str:
    """So many turns of the wheel bring the whole chain round once, in words."""
    turns = 3 if job.links is None or job.rear is None else max(math.ceil(job.links / job.rear), 1)
    return _TURNS.get(turns) or trn("{n} turn of the wheel", "{n} turns of the wheel", turns)


_TURNS = {
    1: tr("one turn of the wheel"),
    2: tr("two turns of the wheel"),
    3: tr("three turns of the wheel"),
    4: tr("four turns of the wheel"),
    5: tr("five turns of the wheel"),
}


def how_slack(bike: Bike) -> str:
    """How the slack is measured, as a sentence."""
    how = bike.service.slack_how
    if how:
        return tr("Measured {how}.", how=how.rstrip("."))
    return tr("Bike standing and loaded as the manual says, at mid-run.")


def target(bike: Bike, key: str, text: str, kind: Kind = "length") -> Target:
    """A target from the service data; an empty text leaves a blank line."""
    unit = "N·m" if kind == "torque" else "mm"
    source = getattr(bike.service, f"{key}_from") or ""
    return Target(entry("service", key).label, text, unit, source, f"service.{key}")


def torque(bike: Bike, key: str) -> Target:
    """A torque of the service data as a target."""
    value = getattr(bike.service, key)
    return target(bike, key, "" if value is None else both_units(value, "torque"), "torque")


def wanted_range(bike: Bike, key: str) -> Target:
    """A range of the service data as a target."""
    least, most = getattr(bike.service, key) or (None, None)
    if least is None or most is None:
        found = target(bike, key, "")
        asked = bike.chassis.slack_mm if key == "slack_range_mm" else None
        if asked is None:
            return found
        return replace(found, label=tr("{label}, {asked:g} mm asked for; range", label=found.label, asked=asked))
    text = tr(
        "{least:g} to {most:g} mm ({least_inches} to {most_inches})",
        least=least,
        most=most,
        least_inches=shown(least * MM, "in").removesuffix(" in"),
        most_inches=shown(most * MM, "in"),
    )
    return target(bike, key, text)


def alignment_target(bike: Bike) -> Target:
    """By how much left and right may differ, as a target; what the trade takes stands beside the maker's blank."""
    taken = assumed.known(bike, "service", "alignment_mm")
    if taken.assumed is None:
        return target(bike, "alignment_mm", both_units(taken.value * MM, "length"))
    found = target(bike, "alignment_mm", "")
    return replace(
        found, label=tr("{label} {value:g} mm (common practice); the maker's", label=found.label, value=taken.value)
    )


def wear_target(bike: Bike) -> Target:
    """The chain's wear limit as a target."""
    limit = wear_limit(bike)
    field = "limits.chain_elongation_percent"
    if limit.own:
        text = tr("{elongation:g} % longer than new", elongation=100 * limit.elongation)
        source = bike.limits.chain_elongation_percent_from or ""
        return Target(tr("Chain wear limit"), text, "%", source, field)
    return Target(tr("Chain wear limit, {limit}; the maker's", limit=limit.words), "", "%", "", field)
