"""The chain's wear: what the readings say, against which limit, and when the chain is due."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import both_distances
from gearplan.bike.text.written import number
from gearplan.drive.chain import wear
from gearplan.language import marked, tr
from gearplan.plan.driveset import DriveSet, keeps_chain
from gearplan.plan.findings import Finding, Level
from gearplan.setup import assumed, wornchain

#: What its findings are about.
WEAR = marked("chain wear")
#: From this share of the limit on somebody should keep an eye on the chain.
_SOON = 0.8
#: Shorter by more than this, than new or than before, is worth a second look.
_SHORT = -0.002


@dataclass(frozen=True, slots=True)
class WearLimit:
    """The elongation (a fraction) at which the chain is worn out; `own` is the maker's as entered, else the trade's."""

    elongation: float
    own: bool
    source: str

    @property
    def words(self) -> str:
        """The limit as it is told: "1.5 % (common practice)"."""
        if self.own:
            return f"{number(100 * self.elongation, 1, 1)} %"
        return tr("{limit:.1f} % (common practice)", limit=100 * self.elongation)


@dataclass(frozen=True, slots=True)
class WearState:
    """Readings that can be as (odometer km, elongation fraction), the limit, the forecast and the judgement."""

    readings: tuple[tuple[float, float], ...]
    limit: WearLimit
    forecast: wear.Forecast | None
    finding: Finding


def wear_limit(bike: Bike) -> WearLimit:
    """The one wear limit of a bike: the maker's own, else what the trade takes (`setup.assumed`)."""
    known = assumed.worn_at(bike)
    read_in = bike.limits.chain_elongation_percent_from or tr("as entered")
    own = known.assumed is None
    return WearLimit(known.value / 100, own, read_in if known.assumed is None else known.assumed.reason)


def unlikely(elongation: float) -> str:
    """Why a reading's elongation (a fraction) cannot be, and what to do; empty if it can."""
    if wornchain.SHORTEST <= elongation <= wornchain.LONGEST:
        return ""
    if elongation > 0:
        return tr(
            "{by:.1f} % longer than new can't be right: count the links and measure again under tension.",
            by=100 * elongation,
        )
    return tr(
        "{by:.1f} % shorter than new can't be right: count the links and measure again under tension.",
        by=-100 * elongation,
    )


def refused_reading(bike: Bike, mm: float) -> str:
    """Why a length over the links measured (mm) cannot go into the wear log; empty if it can or is not known."""
    found = wornchain.reading_elongations(replace(bike, wear=replace(bike.wear, readings=((0.0, mm),))))
    return "" if found is None else unlikely(found[0])


def wear_state(bike: Bike) -> WearState | None:
    """What is known of the fitted chain's wear; None without readings, links measured over, or a chain size.

    Readings that cannot be are pointed out and count for nothing else, and so is a chain that got shorter.
    """
    log = wornchain.log(bike)
    if not log:
        return None
    limit, possible = wear_limit(bike), _possible(log)
    ahead = None
    if possible:
        km, parts = np.array([w[0] for w in possible]), np.array([w[1] for w in possible])
        ahead = wear.forecast(km, parts, limit.elongation)
    return WearState(possible, limit, ahead, _told(log, limit, tr("The chain")))


def worn_out(bike: Bike) -> bool:
    """Whether the chain on the bike is worn out, as entered or by the last reading that can be."""
    worn = wornchain.elongation(bike)
    return worn.assumed is None and worn.value / 100 >= wear_limit(bike).elongation


def kept_chain_findings(bike: Bike, chosen: DriveSet) -> list[Finding]:
    """What the wear log says against a set that keeps the chain on the bike; a new chain has no wear.

    A worn-out chain is to be renewed, though it fits; that it will soon be decides nothing about the set.
    """
    if not keeps_chain(bike, chosen):
        return []
    log, limit = wornchain.log(bike), wear_limit(bike)
    if worn_out(bike):
        found = judged(wornchain.elongation(bike).value / 100, limit, tr("The fitted chain"))
        return [replace(found, level="check", short=tr("The fitted chain is worn out"))]
    if not log:
        return []
    found = _told(log, limit, tr("The fitted chain"))
    # What read worn out once may well be.
    reached = any(part >= limit.elongation for _, part in _possible(log))
    return [] if found.level == "fits" else [replace(found, aside=not reached)]


def _possible(log: tuple[tuple[float, float], ...]) -> tuple[tuple[float, float], ...]:
    return tuple(reading for reading in log if not unlikely(reading[1]))


def _told(log: tuple[tuple[float, float], ...], limit: WearLimit, what: str) -> Finding:
    """What a log that is not empty says of the chain: readings that cannot be, a chain that got shorter, its wear."""
    wrong = [(km, text) for km, part in log if (text := unlikely(part))]
    if wrong:
        at, text = wrong[-1]
        return Finding(
            "check",
            WEAR,
            tr("The reading at {km}: {why}", km=both_distances(at), why=text),
            field="wear.readings",
        )
    last = log[-1][1]
    longest_at, longest = max(log, key=lambda reading: reading[1])
    found = judged(last, limit, what)
    if last - longest >= _SHORT or found.level == "does not fit":
        return found
    text = tr(
        "{what} reads {last:.2f} % longer than new, but {longest:.2f} % at {longest_at}: a chain does not "
        "get shorter. Measure again; if it is a new chain, remove the readings of the old one.",
        what=what,
        last=100 * last,
        longest=100 * longest,
        longest_at=both_distances(longest_at),
    )
    return Finding("check", WEAR, text, 100 * last, 100 * longest, "%", tr("wear log"), "wear.readings")


def judged(elongation: float, limit: WearLimit, what: str, *, renewed: bool = False) -> Finding:
    """What one elongation (a fraction) that can be says of `what` ("The chain"); `renewed` of one that comes off."""
    worn, most = 100 * elongation, 100 * limit.elongation
    figures = (worn, most, "%", limit.source)
    if elongation < _SHORT:
        text = tr(
            "{what} reads {worn:.2f} % shorter than new: count the links and measure again under tension.",
            what=what,
            worn=-worn,
        )
        return Finding("check", WEAR, text, worn, 0.0, "%", tr("nominal pitch"))
    given = {"what": what, "worn": worn, "limit": limit.words}
    if elongation >= limit.elongation and renewed:
        text = tr("{what} is worn out: {worn:.2f} % longer than new, limit {limit}. It is being replaced.", **given)
        return Finding("fits", WEAR, text, *figures)
    if elongation >= limit.elongation:
        text = tr("{what} is worn out: {worn:.2f} % longer than new, limit {limit}. Replace it.", **given)
        return Finding("does not fit", WEAR, text, *figures)
    level: Level = "check" if elongation >= _SOON * limit.elongation else "fits"
    text = tr("{what} is {worn:.2f} % longer than new; the limit is {limit}.", **given)
    return Finding(level, WEAR, text, *figures)


def forecast_text(state: WearState) -> str:
    """When the chain will be due, as surely as the readings allow."""
    f = state.forecast
    if f is None and not state.readings:
        return tr("Measure again to know when it is due.")
    if f is None:
        return tr("One reading says how worn the chain is; a second, later one will say when it is due.")
    if f.due is None:
        return tr("The readings do not grow: measure again under the same tension.")
    if f.due <= state.readings[-1][0]:
        return tr("By its readings the chain is due now.")
    at = _round(f.due)
    if f.earliest is not None and f.latest is not None:
        return tr(
            "On a straight line it is due at about {at}, likely between {earliest} and {latest}.",
            at=at,
            earliest=_round(f.earliest),
            latest=_round(f.latest),
        )
    if len(state.readings) < 3:
        return tr("On a straight line it is due at about {at}; two readings are too few to say how surely.", at=at)
    return tr("On a straight line it is due at about {at}, roughly.", at=at)


def _round(km: float) -> str:
    return both_distances(round(km / 100) * 100)
