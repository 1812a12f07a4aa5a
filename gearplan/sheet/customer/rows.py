"""The pinned sets as they are compared on the customer's page, the same on the screen and on paper."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.bike.work.proposal import Proposal
from gearplan.plan.customer.page import Asked, Customer, customer
from gearplan.plan.driveset import plainly
from gearplan.plan.money import exact, money
from gearplan.plan.quote.proposals import pinned, set_of
from gearplan.plan.words import teeth


@dataclass(frozen=True)
class Row:
    """A set that is compared with others: its name, what the customer's page says of it, and its price if any."""

    name: str
    content: Customer
    proposed: bool
    price: str = ""

    @property
    def title(self) -> str:
        """Its name, if it has one, and its teeth."""
        return f"{self.name or 'then'} {teeth(self.content.proposed)}"

    @property
    def told(self) -> str:
        """Its verdict and how it differs from what is fitted, in sentences."""
        told = (self.content.about(what) for what in _TOLD)
        return f"{self.title}: {' '.join(one.text for one in told if one is not None)}"


_TOLD = ("fit", "pull", "engine", "top speed")


def compared(bike: Bike, asked: Asked, stock: Stock | None, shown: Customer) -> tuple[Row, ...]:
    """Each pinned set, and the one that is `shown` unless it is pinned or fitted; none where none is pinned."""
    proposals = [bike.proposals[place] for place in pinned(bike)]
    found = [_row(bike, one, asked, stock, shown) for one in proposals]
    if found and shown.proposed != shown.fitted and not any(row.proposed for row in found):
        found.append(Row("", shown, True))
    return tuple(found)


def _row(bike: Bike, proposal: Proposal, asked: Asked, stock: Stock | None, shown: Customer) -> Row:
    chosen = plainly(bike, set_of(proposal))
    content = customer(bike, chosen, asked, stock)
    figures = [figure for sentence in content.sentences for figure in sentence.figures]
    if proposal.price is not None:
        price = money(exact(proposal.price), proposal.currency or "")
    else:
        currency = "" if stock is None else stock.currency
        price = "".join(money(exact(figure.exact), currency) for figure in figures if figure.of == "price")
    return Row(proposal.name or "", content, chosen == shown.proposed, price)
