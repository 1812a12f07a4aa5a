"""Whose paper it is: the shop, its logo's file, the sizes of paper, and how a day is written. No Qt here."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Literal

from gearplan.bike.files.ordinary import read_file
from gearplan.bike.values import check_text
from gearplan.language import tr

Paper = Literal["A4", "Letter"]

#: Width and height of a page in points.
PAPERS: dict[str, tuple[int, int]] = {"A4": (595, 842), "Letter": (612, 792)}
#: Width and height of a label in points: 100 × 60 mm.
LABEL = (283, 170)

_MONTHS = (
    tr("January"), tr("February"), tr("March"), tr("April"), tr("May"), tr("June"),
    tr("July"), tr("August"), tr("September"), tr("October"), tr("November"), tr("December"),
)  # fmt: skip
#: A logo of more bytes is a photograph, or no picture at all.
_MOST_BYTES = 10_000_000
_MOST_LINES = 6


class LogoError(ValueError):
    """A logo that cannot be drawn; the message says what would be right."""


@dataclass(frozen=True, slots=True)
class Shop:
    """Whose page it is; `address` are its lines, `logo` is the content of a PNG, JPEG or SVG file, empty for none."""

    name: str = ""
    address: tuple[str, ...] = ()
    logo: bytes = b""


#: A page that names no shop.
NO_SHOP = Shop()


def check_shop(shop: Shop) -> None:
    """ValueError for a name or an address that is no text for a page."""
    for what, words in (("name", shop.name), *(("address", line) for line in shop.address)):
        if fault := check_text(words):
            raise ValueError(tr("the shop's {what} {fault}", what=what, fault=fault))


def address_lines(text: str) -> tuple[str, ...]:
    """The lines of an address as it was typed; ValueError for more than a page has room for."""
    lines = tuple(line.strip() for line in text.splitlines() if line.strip())
    if len(lines) > _MOST_LINES:
        raise ValueError(
            tr("an address has at most {most_lines} lines; this has {lines}", most_lines=_MOST_LINES, lines=len(lines))
        )
    if fault := next(filter(None, map(check_text, lines)), None):
        raise ValueError(tr("each line of the address {fault}", fault=fault))
    return lines


def logo_bytes(file: str) -> bytes:
    """The content of a logo's file; empty for no file. OSError or LogoError where it cannot be a logo."""
    if not file:
        return b""
    path = Path(file).expanduser()
    if path.exists() and not path.is_file():
        raise LogoError(tr("{path} is no file; give a PNG, JPEG or SVG file as the logo", path=path))
    if path.stat().st_size > _MOST_BYTES:
        raise LogoError(
            tr(
                "{path} is larger than {most_bytes} MB; make the logo smaller",
                path=path,
                most_bytes=_MOST_BYTES // 1000000,
            )
        )
    return read_file(path, _MOST_BYTES)


def day_words(day: date) -> str:
    """A day as a letter has it: "31 May 2026"."""
    return tr("{day} {month} {year}", day=day.day, month=_MONTHS[day.month - 1], year=day.year)
