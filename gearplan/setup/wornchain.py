"""How worn the chain on the bike is: as entered, by the last reading of its wear log, or assumed."""

from __future__ import annotations

import math

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.drive.chain import wear
from gearplan.setup import assumed
from gearplan.setup.assumed import Known

#: The field that says how worn the chain on the bike is.
FIELD = "final_drive.elongation_percent"
#: No chain in use is shorter than new but for the error of the rule, and none holds together so far worn.
SHORTEST, LONGEST = -0.005, 0.06
#: After so long on the road a new chain is one in use; common practice, no source.
_NOT_FAR_KM = 1000.0


def elongation(bike: Bike) -> Known:
    """Elongation (%) of the chain on the bike, which belongs to the fitted set; a job may have put it on new."""
    entered = bike.final_drive.elongation_percent
    if entered is not None:
        return Known(entered)
    possible = [part for _, part in log(bike) if SHORTEST <= part <= LONGEST]
    return Known(100 * possible[-1]) if possible else assumed.elongation(new=_fitted_new(bike))


def _fitted_new(bike: Bike) -> bool:
    """Whether the last job done put the chain on the bike on new, and it has not been ridden far since."""
    done = [job for job in bike.jobs if job.state in ("fitted", "done")]
    if not done or done[-1].new_chain != "yes":
        return False
    job, on, today = done[-1], bike.final_drive, bike.wear.odometer_km
    ridden = 0.0 if job.odometer_km is None or today is None else today - job.odometer_km
    return (job.chain, job.front, job.rear, job.links) == (
        on.chain,
        on.front,
        on.rear,
        on.links,
    ) and ridden < _NOT_FAR_KM


def log(bike: Bike) -> tuple[tuple[float, float], ...]:
    """The readings of the chain on the bike as (odometer km, elongation fraction), by odometer.

    Those from before a job that put a new chain on, where the log was kept on, are not of this chain.
    """
    readings, worn = sorted(bike.wear.readings or ()), reading_elongations(bike)
    if not readings or worn is None:
        return ()
    renewed = [
        job.odometer_km
        for job in bike.jobs
        if job.new_chain == "yes" and job.state in ("fitted", "done") and job.odometer_km is not None
    ]
    since = max((km for km in renewed if km <= readings[-1][0]), default=-math.inf)
    return tuple((km, part) for (km, _), part in zip(readings, worn, strict=True) if km >= since)


def reading_elongations(bike: Bike) -> tuple[float, ...] | None:
    """The elongation (a fraction) of each reading of the wear log, by odometer.

    None without links measured over or a chain size.
    """
    size = library.chain_sizes().get(bike.final_drive.chain or "")
    links = bike.wear.gauge_links
    if size is None or links is None:
        return None
    pitch = size.pitch_mm * MM
    return tuple(wear.elongation(mm * MM, links, pitch) for _, mm in sorted(bike.wear.readings or ()))
