"""What is taken off a price: a share of the sum, an amount, or both; as it is typed, kept and reckoned."""

from __future__ import annotations

from decimal import Decimal

from gearplan.bike.entries import entry_in
from gearplan.bike.text.numbertext import NumberTextError, parse_number, shown_number
from gearplan.bike.values import check_entry
from gearplan.bike.work.proposal import Proposal
from gearplan.language import tr
from gearplan.plan.money import exact, rounded, share, summed

_HUNDRED = Decimal(100)
_ONE_OF_EACH = tr("write a discount like 10 %, 25, or 10 % + 25")


def read_discount(text: str) -> dict[str, float | None]:
    """The entries of a proposal that a text means: "10 %", "25", "10 % + 25"; ValueError for what cannot be."""
    found: dict[str, float | None] = {"discount_percent": None, "discount": None}
    for part in filter(None, (part.strip() for part in text.split("+"))):
        key = "discount_percent" if part.endswith("%") else "discount"
        if found[key] is not None:
            raise NumberTextError(_ONE_OF_EACH)
        value = parse_number(part.removesuffix("%"))
        if fault := check_entry(entry_in(Proposal, key), value):
            raise NumberTextError(fault)
        found[key] = value
    return found


def discount_text(proposal: Proposal) -> str:
    """The same as it would be typed; empty for none."""
    share_of, amount = proposal.discount_percent, proposal.discount
    told = [] if share_of is None else [f"{shown_number(share_of)} %"]
    return " + ".join([*told, *([] if amount is None else [shown_number(amount)])])


def discount(proposal: Proposal, together: Decimal, places: int) -> Decimal:
    """What is taken off a sum of rounded lines, the share of it rounded once. It may be more than the sum."""
    of_sum = rounded(share(together, exact(proposal.discount_percent or 0), _HUNDRED), places)
    return summed((of_sum, rounded(exact(proposal.discount or 0), places)))
