"""What stands on the page that a customer takes home."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from gearplan.bike.profile import Bike
from gearplan.bike.stock import Stock
from gearplan.bike.values import check_text
from gearplan.plan.customer.page import Asked, Customer, customer
from gearplan.plan.driveset import DriveSet
from gearplan.plan.words import set_name, whose

Paper = Literal["A4", "Letter"]

#: Width and height of a page in points.
PAPERS: dict[str, tuple[int, int]] = {"A4": (595, 842), "Letter": (612, 792)}

_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


@dataclass(frozen=True, slots=True)
class Shop:
    """Whose page it is; `logo` is the content of a PNG, JPEG or SVG file, empty for none."""

    name: str = ""
    logo: bytes = b""


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
    paper: Paper


def customer_sheet(
    bike: Bike,
    proposed: DriveSet,
    asked: Asked,
    day: date,
    *,
    shop: Shop = Shop(),
    stock: Stock | None = None,
    paper: Paper = "A4",
    with_owner: bool = False,
) -> CustomerSheet:
    """The page for one proposed set; ValueError for a shop's name that is no line of text.

    `with_owner` says on it whose motorcycle it is.
    """
    if text := check_text(shop.name):
        raise ValueError(f"the shop's name {text}")
    content = customer(bike, proposed, asked, stock)
    return CustomerSheet(
        shop=shop,
        day=f"{day.day} {_MONTHS[day.month - 1]} {day.year}",
        title=content.bike,
        whose=whose(bike) if with_owner else "",
        fitted=f"Now: {set_name(content.fitted)}",
        proposed=f"Then: {set_name(proposed)}",
        content=content,
        paper=paper,
    )
