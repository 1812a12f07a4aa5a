"""What stands on the page that a customer takes home."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.language import tr
from gearplan.plan.customer.page import Asked, Customer, customer
from gearplan.plan.driveset import DriveSet
from gearplan.plan.words import set_name, whose
from gearplan.sheet.customer.rows import Row, compared
from gearplan.sheet.shop import NO_SHOP, Paper, Shop, check_shop, day_words


@dataclass(frozen=True, slots=True)
class CustomerSheet:
    """The page, ready to be drawn."""

    shop: Shop
    day: str
    title: str
    whose: str
    fitted: str
    proposed: str
    content: Customer
    rows: tuple[Row, ...]
    paper: Paper


def customer_sheet(
    bike: Bike,
    proposed: DriveSet,
    asked: Asked,
    day: date,
    *,
    shop: Shop = NO_SHOP,
    stock: Stock | None = None,
    paper: Paper = "A4",
    with_owner: bool = False,
) -> CustomerSheet:
    """The page for one proposed set beside the pinned ones; ValueError for a shop's name or address that is no text.

    `with_owner` says on it whose motorcycle it is.
    """
    check_shop(shop)
    content = customer(bike, proposed, asked, stock)
    return CustomerSheet(
        shop=shop,
        day=day_words(day),
        title=content.bike,
        whose=whose(bike) if with_owner else "",
        fitted=tr("Now: {set_name}", set_name=set_name(content.fitted)),
        proposed=tr("Then: {set_name}", set_name=set_name(proposed)),
        content=content,
        rows=compared(bike, asked, stock, content),
        paper=paper,
    )
