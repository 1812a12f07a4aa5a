"""Tyre sizes as they stand on the sidewall: metric, inch, letter code, and whole or fractional inch code."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from gearplan.bike.library import table_rows
from gearplan.language import tr

_EXAMPLES = tr("write it as on the sidewall, such as 180/55 ZR 17, 3.00-18 or MT90-16")

_RIM = r"\s*(?:-|[A-Z]{1,2}\s*-?)\s*(?P<rim>\d{1,2})"
# What may follow the rim: vehicle mark, load index with speed symbol, and the maker's usual words.
_TAIL = r"(?:\s*M/C|\s*\(\d{2,3}\s?[A-Z]{1,2}\)|\s+(?:\d{2,3}\s?[A-Z]{1,2}|TL|TT|RF|REINF\w*|FRONT|REAR|[A-Z]))*"
_METRIC = re.compile(r"(?P<width>\d{2,3})/(?P<aspect>\d{2,3})" + _RIM + _TAIL)
_INCH = re.compile(r"(?P<width>\d{1,2}\.\d{1,2})(?:/(?P<aspect>\d{2,3}))?" + _RIM + _TAIL)
_LETTER = re.compile(r"(?P<code>M[A-Z])(?P<aspect>\d{2})" + _RIM + _TAIL)
_CODE = re.compile(r"(?P<code>\d(?:\s+\d/\d)?)" + _RIM + _TAIL)

#: Inch codes that end so are of low section; source: a tyre maker's published size page.
_LOW_SECTION = ("10", "60")
_LOW_ASPECT, _FULL_ASPECT = 90.0, 100.0


class TyreSizeError(ValueError):
    """Text that is not a tyre size; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class TyreSize:
    """What a size marking says. `by` is the rule it was read by."""

    width_mm: float
    section_height_mm: float
    rim_in: float
    by: str


@lru_cache(maxsize=256)
def parse_tyre_size(text: str) -> TyreSize:
    """Read a size marking; letters in either case, spaces free, decimal comma allowed.

    Section height: width × aspect; for decimal inch sizes the width × 25.4 mm with an aspect of 100 %, or of 90 %
    where the code ends in 10 or 60; for letter codes and whole or fractional inch codes from the tables.
    TyreSizeError for anything else.
    """
    given = _tidy(text)
    if match := _METRIC.fullmatch(given):
        width, aspect = float(match["width"]), float(match["aspect"])
        return _checked(text, width, width * aspect / 100, match["rim"], aspect, "metric")
    if match := _INCH.fullmatch(given):
        width = float(match["width"]) * 25.4
        low = match["width"].split(".")[1] in _LOW_SECTION
        aspect = float(match["aspect"] or (_LOW_ASPECT if low else _FULL_ASPECT))
        return _checked(text, width, width * aspect / 100, match["rim"], aspect, "inch")
    if match := _LETTER.fullmatch(given):
        width, aspect = _letter_size(text, match["code"], match["aspect"])
        return _checked(text, width, width * aspect / 100, match["rim"], aspect, tr("letter code"))
    if match := _CODE.fullmatch(given):
        for row in table_rows("tyres_code_sizes.csv"):
            if row["code"] == " ".join(match["code"].split()):
                width, height = float(row["width_mm"]), float(row["height_mm"])
                return _checked(text, width, height, match["rim"], 100 * height / width, tr("inch code"))
        raise TyreSizeError(
            tr(
                "“{text}”: the inch code {match} is not known; {examples}",
                text=text.strip(),
                match=match["code"],
                examples=_EXAMPLES,
            )
        )
    raise TyreSizeError(tr("“{text}” is not a tyre size; {examples}", text=text.strip(), examples=_EXAMPLES))


def _tidy(text: str) -> str:
    given = text.strip().upper().replace(",", ".").replace("\u2013", "-").replace("\u2212", "-")
    for sign, fraction in (("¼", " 1/4"), ("½", " 1/2"), ("¾", " 3/4")):
        given = given.replace(sign, fraction)
    given = re.sub(r"(?<=\d)\s*/\s*(?=\d)", "/", given)
    return re.sub(r"\s+", " ", given)


def _letter_size(text: str, code: str, aspect: str) -> tuple[float, float]:
    rows = list(table_rows("tyres_letter_sizes.csv"))
    for row in rows:
        if row["size"] == code + aspect:
            return float(row["width_mm"]), float(row["aspect_percent"])
    for row in rows:
        if row["size"].startswith(code):
            return float(row["width_mm"]), float(aspect)
    known = ", ".join(sorted({row["size"][:2] for row in rows}))
    raise TyreSizeError(f"“{text.strip()}”: the letters {code} are not known (known: {known}); {_EXAMPLES}")


def _checked(text: str, width: float, height: float, rim: str, aspect: float, by: str) -> TyreSize:
    inches = float(rim)
    for what, value, low, high, unit in (
        ("width", width, 40, 400, "mm"),
        ("aspect", aspect, 25, 150, "%"),
        ("rim", inches, 4, 26, "inch"),
    ):
        if not low <= value <= high:
            raise TyreSizeError(
                tr(
                    "“{text}”: a {what} of {value:g} {unit} can't be right ({low} to {high} {unit}); {examples}",
                    text=text.strip(),
                    what=what,
                    value=value,
                    unit=unit,
                    low=low,
                    high=high,
                    examples=_EXAMPLES,
                )
            )
    return TyreSize(width, height, inches, by)
