"""Amounts of money, exact in decimal arithmetic: as they are entered, summed, rounded and written."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Context, Decimal

from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.language import tr

#: More digits than any product of two entered numbers has, so that nothing is rounded but where it is meant.
_EXACT = Context(prec=80, rounding=ROUND_HALF_UP)
#: Currencies whose smallest unit is not a hundredth, by their codes of ISO 4217; from memory.
_DECIMALS = dict.fromkeys(("JPY", "KRW", "ISK", "CLP", "VND", "UGX", "PYG", "RWF", "XAF", "XOF", "XPF"), 0)
_DECIMALS |= dict.fromkeys(("BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"), 3)
_USUAL_DECIMALS = 2
#: From so many digits before the decimal point on they are written in groups of three.
_GROUPED = 10_000
MINUS = "\u2212"


def exact(entered: float) -> Decimal:
    """A number just as it was typed: 0.1 is a tenth."""
    return Decimal(repr(entered)) if isinstance(entered, float) else Decimal(entered)


def read_amount(text: str, low: int, high: int) -> Decimal:
    """The number that a text means, exactly; NumberTextError for none, and for one that is out of bounds."""
    value = parse_number(text)
    if not low <= value <= high:
        raise NumberTextError(
            tr("“{text}” can't be right; expected {low} to {high}", text=text.strip(), low=low, high=high)
        )
    return Decimal(text.strip().replace("\u2212", "-").replace(",", "."))


def decimals(currency: str) -> int:
    """How many decimals amounts in a currency have; two where it is none of the known ones."""
    return _DECIMALS.get(currency.strip().upper(), _USUAL_DECIMALS)


def times(one: Decimal, other: Decimal) -> Decimal:
    """The product, exactly."""
    return _EXACT.multiply(one, other)


def share(amount: Decimal, part: Decimal, whole: Decimal) -> Decimal:
    """amount · part ÷ whole."""
    return _EXACT.divide(_EXACT.multiply(amount, part), whole)


def summed(amounts: Iterable[Decimal]) -> Decimal:
    """The sum, exactly."""
    total = Decimal(0)
    for amount in amounts:
        total = _EXACT.add(total, amount)
    return total


def rounded(amount: Decimal, places: int) -> Decimal:
    """To so many decimals; a half goes up."""
    return amount.quantize(Decimal(1).scaleb(-places), context=_EXACT)


def plain(amount: Decimal, currency: str) -> str:
    """An amount with the decimals of its currency and no spaces, for tables that a program reads."""
    return f"{rounded(amount, decimals(currency)):f}"


def each(price: Decimal, currency: str) -> str:
    """A price as it was entered, with the decimals of its currency at the least."""
    entered = price.normalize()
    return f"{entered:f}" if rounded(price, decimals(currency)) != price else plain(price, currency)


def money(amount: Decimal, currency: str = "") -> str:
    """An amount for people, with its currency behind it: "48.50 EUR", "12 400.00", "−5.00"."""
    text = plain(amount, currency).replace("-", MINUS)
    if abs(amount) >= _GROUPED:
        # A space that does not break between thousands, as ISO 80000-1 has it.
        whole, point, rest = plain(abs(amount), currency).partition(".")
        text = f"{'' if amount > 0 else MINUS}{int(whole):,}".replace(",", "\u202f") + point + rest
    return f"{text}\u00a0{currency}".rstrip("\u00a0")
