"""The chain's wear: what the readings say, against which limit, and when the chain is due."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from gearplan.bike import library
from gearplan.bike.numbertext import both_distances
from gearplan.bike.profile import Bike
from gearplan.bike.units import MM
from gearplan.drive import wear
from gearplan.plan.findings import Finding, Level
from gearplan.setup import assumed

#: No chain in use is shorter than new but for the error of the rule, and none holds together so far worn.
_SHORTEST, _LONGEST = -0.005, 0.06
#: From this share of the limit on somebody should keep an eye on the chain.
_SOON = 0.8
#: Shorter than new by more than this is worth a second look.
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
        return f"{100 * self.elongation:.1f} %" + ("" if self.own else " (common practice)")


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
    read_in = bike.limits.chain_elongation_percent_from or "as entered"
    own = known.assumed is None
    return WearLimit(known.value / 100, own, read_in if known.assumed is None else known.assumed.reason)


def unlikely(elongation: float) -> str:
    """Why a reading's elongation (a fraction) cannot be, and what to do; empty if it can."""
    if _SHORTEST <= elongation <= _LONGEST:
        return ""
    by = f"{100 * abs(elongation):.1f} % {'longer' if elongation > 0 else 'shorter'} than new"
    return f"{by} can't be right: count the links and measure again under tension."


def elongations(bike: Bike) -> tuple[float, ...] | None:
    """The elongation of each reading, by odometer; None without links measured over or a chain size."""
    size = library.chain_sizes().get(bike.final_drive.chain or "")
    links = bike.wear.gauge_links
    if size is None or links is None:
        return None
    pitch = size.pitch_mm * MM
    return tuple(wear.elongation(mm * MM, links, pitch) for _, mm in sorted(bike.wear.readings or ()))


def refused_reading(bike: Bike, mm: float) -> str:
    """Why a length over the links measured (mm) cannot go into the wear log; empty if it can or is not known."""
    found = elongations(replace(bike, wear=replace(bike.wear, readings=((0.0, mm),))))
    return "" if found is None else unlikely(found[0])


def wear_state(bike: Bike) -> WearState | None:
    """What is known of the fitted chain's wear; None without readings, links measured over, or a chain size.

    Readings that cannot be are pointed out and count for nothing else.
    """
    worn, readings = elongations(bike), sorted(bike.wear.readings or ())
    if worn is None or not readings:
        return None
    limit = wear_limit(bike)
    both = [(km, part) for (km, _), part in zip(readings, worn, strict=True)]
    possible = tuple(pair for pair in both if not unlikely(pair[1]))
    wrong = [(km, text) for km, part in both if (text := unlikely(part))]
    ahead = None
    if possible:
        km, parts = np.array([w[0] for w in possible]), np.array([w[1] for w in possible])
        ahead = wear.forecast(km, parts, limit.elongation)
    if wrong:
        at, text = wrong[-1]
        told = Finding("check", "chain wear", f"The reading at {both_distances(at)}: {text}", field="wear.readings")
    else:
        told = judged(possible[-1][1], limit, "The chain")
    return WearState(possible, limit, ahead, told)


def judged(elongation: float, limit: WearLimit, what: str) -> Finding:
    """What one elongation (a fraction) that can be says of `what` ("The chain")."""
    worn, most = 100 * elongation, 100 * limit.elongation
    figures = (worn, most, "%", limit.source)
    if elongation < _SHORT:
        text = f"{what} reads {-worn:.2f} % shorter than new: count the links and measure again under tension."
        return Finding("check", "chain wear", text, worn, 0.0, "%", "nominal pitch")
    if elongation >= limit.elongation:
        text = f"{what} is worn out: {worn:.2f} % longer than new, limit {limit.words}. Replace it."
        return Finding("does not fit", "chain wear", text, *figures)
    level: Level = "check" if elongation >= _SOON * limit.elongation else "fits"
    text = f"{what} is {worn:.2f} % longer than new; the limit is {limit.words}."
    return Finding(level, "chain wear", text, *figures)


def forecast_text(state: WearState) -> str:
    """When the chain will be due, as surely as the readings allow."""
    f = state.forecast
    if f is None and not state.readings:
        return "Measure again to know when it is due."
    if f is None:
        return "One reading says how worn the chain is; a second, later one will say when it is due."
    if f.due is None:
        return "The readings do not grow: measure again under the same tension."
    if f.due <= state.readings[-1][0]:
        return "By its readings the chain is due now."
    text = f"On a straight line it is due at about {_round(f.due)}"
    if f.earliest is None or f.latest is None:
        return (
            f"{text}; two readings are too few to say how surely." if len(state.readings) < 3 else f"{text}, roughly."
        )
    return f"{text}, likely between {_round(f.earliest)} and {_round(f.latest)}."


def _round(km: float) -> str:
    return both_distances(round(km / 100) * 100)
