"""What single cells of a stock list mean: chain size, side, teeth or links, quantity, price; in any of the spellings
that spreadsheets and shops use."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable

from gearplan.bike import library
from gearplan.bike.stocklist.table import StockError
from gearplan.bike.text.numbertext import NumberTextError, parse_whole
from gearplan.language import tr

BOUNDS = {"front": (5, 60), "rear": (9, 150), "chain": (20, 400)}
_MOST_PIECES = 1_000_000
_MOST_PRICE = 1_000_000.0
#: The decimal marks by the names that a person is asked with.
DECIMALS = {"decimal point": ".", "decimal comma": ","}
_NAMES = {"front": tr("the front sprocket"), "rear": tr("the rear sprocket"), "chain": tr("the chain")}

#: What is on which side, in English, German, French, Italian, Spanish and Dutch; the letters stand alone.
_SIDES = {
    "front": (
        "front vorn vorne vorder vorderes vorderritzel avant anteriore delantero delantera voor voorste ritzel "
        "pignon pignone pinon pinion kettenritzel countershaft gearbox output f v"
    ),
    "rear": (
        "rear back hinten hinter hinteres arriere posteriore trasero trasera achter achterste kettenrad "
        "kettenblatt couronne corona kroon wheel r h"
    ),
    "chain": "chain chains kette ketten antriebskette rollenkette chaine catena cadena ketting c k",
}
_SIDE_OF = {word: side for side, words in _SIDES.items() for word in words.split()}
_TEETH = r"(?:t|z|teeth|tooth|zahne|dents|denti|dientes|tanden)"
_LINKS = r"(?:l|links|link|glieder|gl|maillons|maglie|eslabones|schakels)"
_COUNT = re.compile(rf"([+\-−]?\d+)(?:[.,]0+)?\s*(?:{_TEETH}|{_LINKS})?\.?")
_COUNT_IN = re.compile(rf"(?<![a-z\d.,])(\d{{1,3}})\s*-?\s*(?:{_TEETH}|({_LINKS}))(?![a-z\d])")
_PIECES = re.compile(r"([+\-−]?\d+)(?:[.,]0+)?\s*(?:[a-z]{1,10}\.?)?")

#: Currencies by what is written for them; other codes of three capitals are taken as they are.
_CURRENCY = {
    "€": "EUR", "euro": "EUR", "eur": "EUR", "£": "GBP", "gbp": "GBP", "$": "$", "usd": "$", "us$": "$",
    "¥": "JPY", "fr": "CHF", "sfr": "CHF", "chf": "CHF", "kr": "kr", "zł": "PLN", "zl": "PLN", "kč": "CZK", "kc": "CZK",
    "ft": "HUF",
}  # fmt: skip
_AMOUNT = re.compile(
    r"(?:(?P<before>[^\d\s+\-−.,'’]{1,6})\.?)?\s*(?P<number>[+\-−]?\s*(?:\d[\d.,'’\s]*|[.,]\d+))(?P<dash>[-–—]{1,2})?"
    r"\s*(?P<after>[^\d\s+\-−.,'’]{0,6})\.?"
)


def plain(text: str) -> str:
    """A text in small letters without accents."""
    apart = unicodedata.normalize("NFKD", text.replace("ß", "ss").replace("\u00a0", " "))
    return "".join(sign for sign in apart if not unicodedata.combining(sign)).lower().strip()


def words_in(text: str) -> list[str]:
    """The words and numbers of a text, in small letters without accents."""
    return re.findall(r"[a-z]+|\d+|[^\W\d_]+", plain(text))


def read_size(text: str) -> str:
    """The chain size that a cell names; StockError unless it is one that is known."""
    known = library.chain_sizes()
    parts: list[str] = re.findall(r"[A-Z0-9]+", re.sub(r"[.,]0+$", "", text.strip().upper()))
    whole = "".join(parts)
    if whole in known:
        return whole
    named = list(dict.fromkeys(part for part in parts if part in known))
    if len(named) == 1:
        return named[0]
    if len(named) > 1:
        raise StockError(tr("“{text}” names two chain sizes", text=text[:40]))
    near = difflib.get_close_matches(whole, known, 1, 0.5)
    raise StockError(
        tr("“{text}” is no chain size", text=text[:40]) + (tr("; nearest is {near}", near=near[0]) if near else "")
    )


def read_side(text: str) -> str:
    """Front, rear or chain, of the words in a cell; StockError where none or both ends are named.

    A letter stands for the word only by itself.
    """
    words = words_in(text)
    named = {_SIDE_OF[word] for word in words if word in _SIDE_OF and (len(word) > 1 or len(words) == 1)}
    # A “chain wheel, rear” is the wheel.
    if named - {"chain"}:
        named -= {"chain"}
    if len(named) != 1:
        raise StockError(tr("“{text}” is no side; write front, rear or chain", text=text[:40]))
    return next(iter(named))


def read_count(text: str, side: str) -> int:
    """Teeth, or of a chain its links; StockError for what cannot be."""
    found = _COUNT.fullmatch(plain(text))
    try:
        value = parse_whole(found[1] if found else text)
    except NumberTextError as error:
        raise StockError(tr("teeth: {error}", error=error)) from error
    return _within("teeth" if side != "chain" else "links", value, *BOUNDS[side])


def count_in(text: str, side: str) -> int:
    """Teeth or links from a description, "rear sprocket 45T"; StockError where it names none, or several."""
    counts = {int(one[1]) for one in _COUNT_IN.finditer(plain(text)) if bool(one[2]) == (side == "chain")}
    if len(counts) != 1:
        unit = "links" if side == "chain" else "teeth"
        raise StockError(
            tr("“{text}” does not say how many {unit} {names} has", text=text[:40], unit=unit, names=_NAMES[side])
        )
    return _within("teeth" if side != "chain" else "links", counts.pop(), *BOUNDS[side])


def read_quantity(text: str) -> int:
    """How many are there; nothing is none. StockError for what cannot be."""
    if not text.strip():
        return 0
    found = _PIECES.fullmatch(plain(text))
    try:
        value = parse_whole(found[1] if found else text)
    except NumberTextError as error:
        raise StockError(tr("quantity: {error}", error=error)) from error
    return _within("quantity", value, 0, _MOST_PIECES)


def read_price(text: str, decimal: str) -> tuple[float | None, str]:
    """(price, currency as far as it is named) of a cell, thousands marked or not; None for an empty cell.

    StockError for what is not clearly one price with this decimal mark.
    """
    if not text.strip():
        return None, ""
    amount = _AMOUNT.fullmatch(" ".join(text.replace("\u00a0", " ").replace("\u202f", " ").split()))
    if amount is None:
        raise StockError(tr("price: “{text}” is no price; write it like 12.50", text=text[:40]))
    currency = _currency(text, amount["before"] or amount["after"])
    number = amount["number"].strip().rstrip(".,") if amount["dash"] else amount["number"].strip()
    value = float(_figures(number, decimal, text))
    if not 0 <= value <= _MOST_PRICE:
        raise StockError(
            tr("price: {value:g} can't be right: it can be 0 to {most_price:g}", value=value, most_price=_MOST_PRICE)
        )
    return value, currency


def usual_decimal(prices: Iterable[str]) -> str:
    """The decimal mark that most prices have; a point where none tells."""
    count: Counter[str] = Counter()
    for price in prices:
        figures = re.sub(r"[^\d.,]", "", price).rstrip(".,")
        last = max(figures.rfind("."), figures.rfind(","))
        both = "." in figures and "," in figures
        # Three figures after the only mark may be thousands: that tells nothing.
        if last >= 0 and (both or (figures.count(figures[last]) == 1 and len(figures) - last - 1 != 3)):
            count[figures[last]] += 1
    return "," if count[","] > count["."] else "."


def usual_currency(prices: Iterable[str]) -> str:
    """The currency that most prices name; empty where none does."""
    count: Counter[str] = Counter()
    for price in prices:
        for decimal in DECIMALS.values():
            try:
                count[read_price(price, decimal)[1]] += 1
                break
            except StockError:
                continue
    count.pop("", None)
    return count.most_common(1)[0][0] if count else ""


def currency_in(words: str) -> str:
    """The currency that some words name, such as a heading: "VK (EUR)"; empty where they name none."""
    told = re.findall(r"[^\W\d_]+|[€£¥$]", words.lower())
    return next((_CURRENCY[word] for word in told if word in _CURRENCY and word not in ("fr", "kr", "ft")), "")


def same_currency(one: str, other: str) -> bool:
    """Whether two names or signs mean the same currency, as far as they are known: "€" and "EUR"."""
    first, second = (_CURRENCY.get(name.strip().lower(), name.strip().upper()) for name in (one, other))
    return first == second


_MARK_NAMES = {".": "point", ",": "comma"}


def _figures(number: str, decimal: str, text: str) -> str:
    """The figures of a number with a decimal point, thousands taken together; StockError where it can't be told."""
    sign = "-" if number[:1] in "-−" else ""
    bare, other = number.lstrip("+-− "), "." if decimal == "," else ","
    if re.fullmatch(rf"\d{{1,3}}[{decimal}]\d{{3}}", bare):
        raise StockError(
            tr("price: “{text}” can be read in two ways; leave out the thousands separator", text=text[:40])
        )
    grouped = rf"\d{{1,3}}(?P<by>[{other}'’ ])\d{{3}}(?:(?P=by)\d{{3}})*(?:[{decimal}]\d{{1,4}})?"
    if re.fullmatch(rf"\d+(?:[{decimal}]\d{{0,4}})?|[{decimal}]\d{{1,4}}|{grouped}", bare):
        return sign + re.sub(rf"[{other}'’ ]", "", bare).replace(decimal, ".")
    if bare.count(other) == 1 and re.fullmatch(rf"\d+[{other}]\d{{1,4}}", bare):
        named = (_MARK_NAMES[other], _MARK_NAMES[decimal])
        raise StockError(
            tr(
                "price: “{text}” has a decimal {named}, most prices here have a {named2}",
                text=text[:40],
                named=named[0],
                named2=named[1],
            )
        )
    raise StockError(tr("price: “{text}” is no price; write it like 12{decimal}50", text=text[:40], decimal=decimal))


def _currency(text: str, named: str) -> str:
    if not named:
        return ""
    if (known := _CURRENCY.get(named.lower().rstrip("."))) is not None:
        return known
    if re.fullmatch(r"[A-Z]{3}", named):
        return named
    raise StockError(tr("price: “{text}” is no price; write it like 12.50", text=text[:40]))


def _within(name: str, value: int, low: int, high: int) -> int:
    if not low <= value <= high:
        raise StockError(
            tr("{name}: {value} can't be right: it can be {low} to {high}", name=name, value=value, low=low, high=high)
        )
    return value
