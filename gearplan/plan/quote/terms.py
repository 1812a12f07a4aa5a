"""The shop's terms: currency, tax, what an hour costs, how long its jobs usually take; read from what was typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from decimal import Decimal

from gearplan.bike.text.numbertext import NumberTextError, parse_whole
from gearplan.bike.values import check_text
from gearplan.language import tr
from gearplan.plan.money import read_amount

#: The parts of the work that have a usual time, and how each is named.
WORK = {
    "front": tr("Change the front sprocket"),
    "rear": tr("Change the rear sprocket"),
    "chain": tr("Change the chain"),
    "swingarm": tr("Take the swingarm out, for a closed chain"),
}
_LONGEST_CURRENCY = 8
_MOST_DAYS = 3650
USUAL_DAYS = 30


@dataclass(frozen=True, slots=True)
class Terms:
    """What a quote rests on. `hours` are the usual times by the keys of `WORK`, as far as the shop has named them.

    `included` says that the shop's prices hold the tax; without `tax` (percent) no tax is shown.
    """

    currency: str = ""
    tax: Decimal | None = None
    included: bool = False
    rate: Decimal | None = None
    hours: Mapping[str, Decimal] = field(default_factory=dict)
    days: int = USUAL_DAYS


@dataclass(frozen=True, slots=True)
class TermsTyped:
    """The same as it was typed; an empty text says nothing."""

    currency: str = ""
    tax_percent: str = ""
    prices_with_tax: bool = False
    hour_price: str = ""
    hours_front: str = ""
    hours_rear: str = ""
    hours_chain: str = ""
    hours_swingarm: str = ""
    valid_days: str = ""


#: What each text is called where it is typed.
LABELS = {
    "currency": tr("Currency"),
    "tax_percent": tr("Tax, %"),
    "hour_price": tr("Labour, each hour"),
    **{f"hours_{key}": f"{words}, h" for key, words in WORK.items()},
    "valid_days": tr("Quotes are valid for, days"),
}


def refusal(key: str, text: str) -> str | None:
    """Why a text cannot stand for one of the terms, with what would be right; None if it can."""
    try:
        _read(key, text)
    except NumberTextError as error:
        return str(error)
    return None


def terms(typed: TermsTyped) -> Terms:
    """The terms as far as they can be read: what cannot is as good as not said."""
    found = {f.name: _known(f.name, getattr(typed, f.name)) for f in fields(typed) if f.name in LABELS}
    hours = {key: found[f"hours_{key}"] for key in WORK}
    days = found["valid_days"]
    return Terms(
        currency=str(found["currency"] or ""),
        tax=_decimal(found["tax_percent"]),
        included=typed.prices_with_tax,
        rate=_decimal(found["hour_price"]),
        hours={key: value for key, value in hours.items() if isinstance(value, Decimal)},
        days=days if isinstance(days, int) else USUAL_DAYS,
    )


def _known(key: str, text: str) -> Decimal | int | str | None:
    return None if refusal(key, text) else _read(key, text)


def _decimal(value: object) -> Decimal | None:
    return value if isinstance(value, Decimal) else None


def _read(key: str, text: str) -> Decimal | int | str | None:
    given = text.strip()
    if not given:
        return None
    if key == "currency":
        if check_text(given) or len(given) > _LONGEST_CURRENCY:
            raise NumberTextError(
                tr(
                    "write the currency in at most {longest_currency} characters, such as EUR",
                    longest_currency=_LONGEST_CURRENCY,
                )
            )
        return given
    if key == "valid_days":
        days = parse_whole(given)
        if not 1 <= days <= _MOST_DAYS:
            raise NumberTextError(
                tr("“{given}” can't be right; expected 1 to {most_days} days", given=given, most_days=_MOST_DAYS)
            )
        return days
    low, high = {"tax_percent": (0, 100), "hour_price": (0, 100_000)}.get(key, (0, 100))
    return read_amount(given, low, high)
