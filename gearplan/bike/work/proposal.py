"""A set that was offered for a bike, as the bike file keeps it: what was wished for, what it costs, what became of it.

Immutable, like the rest of the profile. In the file each is one of the [[proposals]].
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any, Literal

from gearplan.bike.entries import entered
from gearplan.bike.values import check_text
from gearplan.language import marked, tr

from .job import JobPart, parts_from
from .tables import entries_from, plain_entries

State = Literal["offered", "agreed", "fitted", "declined"]
#: What can become of a proposal, and which of it still waits for an answer or for the bench.
STATES: tuple[State, ...] = (marked("offered"), marked("agreed"), marked("fitted"), marked("declined"))
OPEN: tuple[State, ...] = ("offered", "agreed")

_MOST_WISHES = 40
_DAYS = ("date", "quoted", "valid_until")


def _yes_or_no(label: str) -> Any:
    return entered(label, "choice", choices=(marked("yes"), marked("no")))


@dataclass(frozen=True, slots=True)
class Proposal:
    """One set with a name. What is new follows from the set, except where `new_…` says it.

    `price` is what the whole costs the customer, in `currency`, with the discount taken off. From `quote` (its number)
    to `currency` it is what a quote said when it was made, so that it says the same when it is printed again; `parts`
    are quantity, the shop's number and price each of its parts. `wishes` are in words.
    """

    name: str | None = entered(tr("Name"), "text", example=tr("Touring"))
    date: str | None = entered(tr("Date"), "text", example="2026-05-31")
    state: State | None = entered(tr("State"), "choice", choices=STATES)
    chain: str | None = entered(tr("Chain size"), "chain")
    front: int | None = entered(tr("Front sprocket"), "whole", "teeth", 5, 60)
    rear: int | None = entered(tr("Rear sprocket"), "whole", "teeth", 9, 150)
    links: int | None = entered(tr("Chain length"), "whole", "links", 20, 400)
    tyre: str | None = entered(tr("Rear tyre"), "tyre", example=tr("180/55 ZR 17"))
    new_front: str | None = _yes_or_no(tr("New front sprocket"))
    new_rear: str | None = _yes_or_no(tr("New rear sprocket"))
    new_chain: str | None = _yes_or_no(tr("New chain"))
    cruise_kmh: float | None = entered(tr("Cruising speed"), "number", "km/h", 1, 700)
    price: float | None = entered(tr("Price"), "number", "", 0, 1_000_000_000)
    quote: str | None = entered(tr("Quote's number"), "text", example="2026-001")
    quoted: str | None = entered(tr("Quote's date"), "text", example="2026-05-31")
    valid_until: str | None = entered(tr("Valid until"), "text", example="2026-06-30")
    labour_h: float | None = entered(tr("Labour"), "number", "h", 0, 1000, example="1.5")
    labour_rate: float | None = entered(tr("Labour, each hour"), "number", "", 0, 100_000)
    discount_percent: float | None = entered(tr("Discount"), "number", "%", 0, 100, example="10")
    discount: float | None = entered(tr("Discount"), "number", "", 0, 1_000_000_000)
    tax_percent: float | None = entered(tr("Tax"), "number", "%", 0, 100)
    tax_included: str | None = _yes_or_no(tr("Prices hold the tax"))
    currency: str | None = entered(tr("Currency"), "text", example="EUR")
    wishes: tuple[str, ...] = ()
    parts: tuple[JobPart, ...] = ()

    @property
    def open(self) -> bool:
        """Whether an answer or the work is still to come."""
        return (self.state or "offered") in OPEN


def proposal_from_table(table: Mapping[str, Any]) -> tuple[Proposal, list[str], list[str]]:
    """(proposal, faults, notices) of one of the [[proposals]] as read from TOML; it lacks what is wrong."""
    faults: list[str] = []
    values = entries_from(Proposal, table, faults, days=_DAYS)
    values["wishes"] = tuple(_wishes(table.get("wishes", []), faults))
    values["parts"] = parts_from(table, "proposals", faults)
    known = {f.name for f in fields(Proposal)} - {"parts"} | {"part"}
    notices = [tr("“{key}” is not known and is left as it is", key=key) for key in table if key not in known]
    return Proposal(**values), faults, notices


def proposal_table(proposal: Proposal) -> dict[str, Any]:
    """The proposal as plain values for TOML, what is not entered left out; inverse of `proposal_from_table`."""
    table = plain_entries(proposal)
    if proposal.wishes:
        table["wishes"] = list(proposal.wishes)
    if proposal.parts:
        table["part"] = [plain_entries(part) for part in proposal.parts]
    return table


def changed(proposals: Sequence[Proposal], at: int, **values: Any) -> tuple[Proposal, ...]:
    """The proposals with some values of the one at a place changed."""
    return tuple(replace(one, **values) if place == at else one for place, one in enumerate(proposals))


def after_fitting(proposals: Sequence[Proposal], fitted: tuple[object, ...]) -> tuple[Proposal, ...]:
    """The proposals once a set (chain, front, rear, links) is on: the last that waited with it is fitted."""
    waiting = [
        (one.state == "agreed", place)
        for place, one in enumerate(proposals)
        if one.open and (one.chain, one.front, one.rear, one.links) == fitted
    ]
    return changed(proposals, max(waiting)[1], state="fitted") if waiting else tuple(proposals)


def _wishes(found: object, faults: list[str]) -> Iterator[str]:
    if not isinstance(found, list) or len(found) > _MOST_WISHES:
        faults.append(
            tr('wishes: must be a list of at most {most_wishes} texts, such as ["calmer"]', most_wishes=_MOST_WISHES)
        )
        return
    for wish in found:
        if fault := check_text(wish):
            faults.append(tr("wishes: {fault}", fault=fault))
        else:
            yield wish
