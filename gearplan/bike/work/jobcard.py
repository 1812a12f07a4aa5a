"""What a workshop's card says of a job beside its steps: tools, parts, the hand-over, and when it is due again."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.entries import entered
from gearplan.language import marked, tr

_YES_NO = (marked("yes"), marked("no"))
#: The texts that are dates.
DAYS = ("wrench_calibrated", "due_date")
#: The side of the field that a signature is drawn in; its points lie from 1 to this.
FIELD = 1000
#: Stands between two strokes of a signature.
LIFTED = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class JobCard:
    """The entries of the card. `signature` is the customer's, drawn: points across and down, (0, 0) where it lifts.

    `hours` is the hour meter at the job, `due_hours` its reading at which the bike is due again, as `due_km` is the
    odometer's.
    """

    second_check: str | None = entered(tr("Second person checks"), "choice", choices=_YES_NO)
    wrench: str | None = entered(tr("Torque wrench, serial number"), "text")
    wrench_calibrated: str | None = entered(tr("Wrench calibrated on"), "text", example="2026-01-31")
    chain_batch: str | None = entered(tr("Chain, make and batch"), "text")
    old_parts: str | None = entered(
        tr("Old parts"),
        "choice",
        choices=(marked("returned to the customer"), marked("kept for the customer"), marked("disposed of")),
    )
    hours: float | None = entered(tr("Hour meter"), "number", "h", 0, 100_000)
    due_km: float | None = entered(tr("Due again at"), "number", "km", 0, 1_000_000)
    due_date: str | None = entered(tr("Due again on"), "text", example="2026-10-01")
    due_hours: float | None = entered(tr("Due again at hours"), "number", "h", 0, 100_000)
    photos_printed: str | None = entered(tr("Photos on the sheet"), "choice", choices=_YES_NO)
    signature: tuple[tuple[float, float], ...] | None = entered(
        tr("Customer's signature"), "points", tr("across, down"), 0, FIELD, most=FIELD, private=True
    )
