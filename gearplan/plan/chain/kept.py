"""The chain that is on the bike, kept for another set: worn as it is, it puts the axle farther back than a new one."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from gearplan.bike import library
from gearplan.bike.profile import Bike
from gearplan.bike.text import written
from gearplan.bike.text.units import MM
from gearplan.drive.chain import chainrun
from gearplan.drive.sprocket import Values
from gearplan.language import marked, tr
from gearplan.plan.chain.reach import TAPE, Reach
from gearplan.plan.chain.wear import worn_out
from gearplan.plan.driveset import DriveSet, fitted, keeps_chain
from gearplan.plan.findings import Finding

KEPT = marked("chain kept")


def kept_axle(bike: Bike, arm: Reach, axle: Values) -> NDArray[np.float64]:
    """Where the chain on the bike puts the axle (m) with a set whose new chain puts it at `axle`; NaN if unknown.

    It is as much longer than new as the axle stands farther from the sprocket's shaft than a new one would put it,
    whatever set it runs on.
    """
    on, size = bike.final_drive, library.chain_sizes().get(bike.final_drive.chain or "")
    if size is None or on.front is None or on.rear is None or on.links is None:
        return np.full(np.shape(axle), math.nan)
    place = (arm.angle, arm.forward, arm.up)
    new = chainrun.centre_for_links(on.links, on.front, on.rear, size.pitch_mm * MM, arm.slack)
    longer = np.maximum(chainrun.centre_distance(arm.now, *place) / new, 1.0)
    return np.asarray(chainrun.axle_at_centre_distance(longer * chainrun.centre_distance(axle, *place), *place))


def beyond_if_kept(bike: Bike, arm: Reach, axle: Values) -> NDArray[np.bool_]:
    """Whether a new chain of a set would fit, but the one on the bike, kept, would not."""
    if worn_out(bike):
        return np.full(np.shape(axle), False)
    with np.errstate(invalid="ignore"):
        inside = (np.asarray(axle) >= arm.axle_in) & (np.asarray(axle) <= arm.axle_out)
        return np.asarray(inside & (kept_axle(bike, arm, axle) > arm.axle_out))


def kept_findings(bike: Bike, chosen: DriveSet, arm: Reach, axle: float) -> list[Finding]:
    """What is to be said where the chain on the bike does for the set by its count, but is too long by its wear."""
    if not keeps_chain(bike, chosen) or chosen == fitted(bike) or not beyond_if_kept(bike, arm, axle):
        return []
    kept = float(kept_axle(bike, arm, axle))
    over = kept - arm.axle_out
    text = tr(
        "{links} links fit only as a new chain. The one on the bike is worn: kept, it puts the axle "
        "{farther} mm farther back, {over} mm beyond the adjuster's end. Fit a new chain with this set.",
        links=chosen.links,
        farther=written.number(kept - axle, MM),
        over=written.at_least_one(over / MM),
    )
    source = tr("how far the axle stands behind where a new chain would put it")
    return [Finding("check", KEPT, text, over / MM, 0.0, "mm", source, sure=over > TAPE)]
