"""Numbers as people type them: decimal point or comma, the same in every locale, and never off by ten."""

from __future__ import annotations

import math
import re
from decimal import Decimal

from gearplan.language import decimal, tr

from .units import MILE

_PLAIN = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")
_LONGEST_TOLD = 60
_GROUPED = re.compile(r"[+-]?\d{1,3}([.,' \u00a0\u202f]\d{3})+([.,]\d+)?")


def _brief(text: str) -> str:
    """A text as it is repeated to whoever typed it: a sentence has no room for all of a long one."""
    told = " ".join(text.split())
    return told if len(told) <= _LONGEST_TOLD else f"{told[:_LONGEST_TOLD]}…"


class NumberTextError(ValueError):
    """Text that is not clearly one number; the message says what would be right."""


def parse_number(text: str) -> float:
    """The number that a text means, with decimal point or comma.

    NumberTextError for anything that is not clearly one number, grouped thousands included.
    """
    given = text.strip().replace("\u2212", "-")
    if not given:
        raise NumberTextError(tr("enter a number"))
    if not _PLAIN.fullmatch(given) or not given.isascii():
        if _GROUPED.fullmatch(given):
            raise NumberTextError(
                tr("“{brief}” can be read in two ways; leave out the thousands separator", brief=_brief(text))
            )
        raise NumberTextError(tr("“{brief}” is not a number; write it like 12.5 or 12,5", brief=_brief(text)))
    value = float(given.replace(",", "."))
    if not math.isfinite(value):
        raise NumberTextError(tr("“{brief}” is too large to be meant", brief=_brief(text)))
    return value


def parse_whole(text: str) -> int:
    """The whole number that a text means; NumberTextError for anything else."""
    given = text.strip()
    try:
        value = parse_number(text)
    except NumberTextError:
        if not given or _GROUPED.fullmatch(given):
            raise
        raise NumberTextError(tr("“{brief}” is not a whole number; write it like 12", brief=_brief(given))) from None
    if not given.lstrip("+-\u2212").isdigit():
        raise NumberTextError(
            tr("“{brief}” must be a whole number, like {value:.0f}", brief=_brief(given), value=value)
        )
    return int(value)


def parse_lap_time(text: str) -> float:
    """A lap time in seconds: "1:45.3", "1:45,3" or "105.3"; NumberTextError for anything else."""
    given = text.strip()
    wrong = NumberTextError(tr("“{brief}” is not a lap time; write it like 1:45.3", brief=_brief(given)))
    minutes, colon, seconds = given.rpartition(":")
    try:
        rest = parse_number(seconds)
        whole = parse_whole(minutes) if colon else 0
    except NumberTextError:
        raise wrong from None
    if rest < 0 or whole < 0 or (colon and rest >= 60):
        raise wrong
    if not 5 <= 60 * whole + rest <= 3600:
        raise NumberTextError(
            tr("“{brief}” is {whole:g} s; a lap takes 5 s to an hour", brief=_brief(given), whole=60 * whole + rest)
        )
    return 60 * whole + rest


def format_number(value: float) -> str:
    """The shortest text that reads back as the same number, with a decimal point and no exponent: for files."""
    if value == int(value) and abs(value) < 1e15:
        return str(int(value))
    return format(Decimal(repr(value)), "f")


def shown_number(value: float) -> str:
    """The same for people to read, with the decimal mark of the spoken language; fields read it back."""
    return decimal(format_number(value))


def both_distances(km: float) -> str:
    """A distance in both units: "18650 km (11588 mi)"."""
    return f"{km:.0f} km ({km * 1000 / MILE:.0f} mi)"


def odometer_text(km: float) -> str:
    """An odometer's distance as it was read: whole miles as such ("11588 mi"), all else in whole kilometres."""
    miles = km * 1000 / MILE
    if abs(miles - round(miles)) < 1e-6 < abs(km - round(km)):
        return f"{miles:.0f} mi"
    return f"{km:.0f}"
