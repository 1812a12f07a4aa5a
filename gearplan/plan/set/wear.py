"""The chain's wear: what the readings say, against which limit, and when the chain is due."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike import library
from gearplan.bike.numbertext import both_distances
from gearplan.bike.profile import Bike
from gearplan.bike.units import MM
from gearplan.drive import wear
from gearplan.plan.findings import Finding, Level


@dataclass(frozen=True, slots=True)
class WearState:
    """Readings as (odometer km, elongation fraction), the limit (a fraction), where it is from, and the forecast."""

    readings: tuple[tuple[float, float], ...]
    limit: float
    limit_source: str
    forecast: wear.Forecast | None
    finding: Finding


def wear_state(bike: Bike) -> WearState | None:
    """What is known of the fitted chain's wear; None without readings, links measured over, or a chain size."""
    size = library.chain_sizes().get(bike.final_drive.chain or "")
    links, readings = bike.wear.gauge_links, bike.wear.readings
    if size is None or links is None or not readings:
        return None
    ordered = sorted(readings)
    worn = tuple((km, wear.elongation(mm * MM, links, size.pitch_mm * MM)) for km, mm in ordered)
    own = bike.limits.chain_elongation_percent
    if own is not None:
        limit, source = own / 100, "as entered from the service data"
    else:
        limit = wear.general_limit(bike.final_drive.rear or 0)
        source = "general limit of 3 % (above 66 teeth 200/z %), a chain maker's advice; the service data may say less"
    km, parts = np.array([w[0] for w in worn]), np.array([w[1] for w in worn])
    ahead = wear.forecast(km, parts, limit)
    return WearState(worn, limit, source, ahead, _finding(worn, limit, source))


def _finding(worn: tuple[tuple[float, float], ...], limit: float, source: str) -> Finding:
    about, last = "chain wear", 100 * worn[-1][1]
    if last < -0.2:
        text = f"The last reading is {-last:.1f} % shorter than new: count the links and measure again under tension."
        return Finding("check", about, text, last, 0.0, "%", "nominal pitch")
    if last >= 100 * limit:
        text = f"The chain is worn out: {last:.2f} % longer than new, the limit is {100 * limit:.1f} %. Replace it."
        return Finding("does not fit", about, text, last, 100 * limit, "%", source)
    text = f"The chain is {last:.2f} % longer than new; the limit is {100 * limit:.1f} %."
    level: Level = "check" if last >= 80 * limit else "fits"
    return Finding(level, about, text, last, 100 * limit, "%", source)


def forecast_text(state: WearState) -> str:
    """When the chain will be due, as surely as the readings allow."""
    f = state.forecast
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
