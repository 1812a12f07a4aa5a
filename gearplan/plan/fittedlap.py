"""The fitted set alone, as a lap needs it: for holding a computed lap against a recorded one."""

from __future__ import annotations

from collections.abc import Callable

from gearplan.bike.profile import Bike
from gearplan.drive.machines import Machines
from gearplan.plan.findings import Finding, missing
from gearplan.plan.lapsets import lap_sets, machines
from gearplan.plan.searchspace import SpaceError, default_space


def fitted_machines(bike: Bike) -> Callable[[float], Machines] | Finding:
    """What gives the fitted set with the tyre's grip times a factor; or the finding that names what is missing."""
    on = bike.final_drive
    if on.front is None or on.rear is None:
        return missing(
            "lap", "The lap", [("final_drive.front", "Front sprocket"), ("final_drive.rear", "Rear sprocket")]
        )
    try:
        space = default_space(bike, fronts=(on.front, on.front), rears=(on.rear, on.rear))
    except SpaceError as refused:
        return Finding("check", "lap", str(refused))
    sets = lap_sets(bike, space)
    if isinstance(sets, Finding):
        return sets

    def made(grip: float) -> Machines:
        return machines(sets, slice(0, 1), grip=grip)

    return made
