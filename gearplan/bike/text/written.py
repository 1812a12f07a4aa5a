"""How a number is written for people: its decimals, its sign, its unit, its plural; for screen, paper and command."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable

from gearplan.bike.entries import Ratio
from gearplan.language import decimal, spoken, tr, trn

from .units import KMH, MPH

#: Units of road speed by name, in m/s.
ROAD_SPEED = {"km/h": KMH, "mph": MPH}

NONE = "–"
#: Differences below this share of the last shown digit are those of computing, not of the things compared.
_NOISE = 1e-6
#: A message is read as one line; a single word in it, such as a path, may be so long.
_LONGEST_MESSAGE, _LONGEST_WORD = 300, 160


def number(value: float | None, unit: float = 1.0, digits: int = 0) -> str:
    """A value in a unit with so many decimals: "3.07", "−12"; "–" for None. Nothing is ever "−0"."""
    if value is None:
        return NONE
    text = f"{value / unit:.{digits}f}"
    return decimal(text[1:] if text[0] == "-" and float(text) == 0 else text.replace("-", "−"))


def as_number(shown: str) -> float:
    """The number that `number` has written."""
    return float(shown.replace("−", "-").replace(",", "."))


def against(value: float, limit: float, digits: int = 0) -> str:
    """A value beside its limit: with so many decimals, or as many more as it takes not to look like the limit."""
    while digits < 6 and value != limit and float(f"{value:.{digits}f}") == float(f"{limit:.6g}"):
        digits += 1
    return number(value, 1, digits)


def gear(ratio: Ratio | None) -> str:
    """A gear as it is built: its tooth pair "14/38", or its ratio where only that is known; "–" for None."""
    if ratio is None:
        return NONE
    if isinstance(ratio, tuple):
        return "/".join(NONE if teeth is None else str(teeth) for teeth in ratio)
    return decimal(f"{ratio:g}")


def at_least_one(value: float) -> str:
    """A length, count or the like to whole numbers, "less than 1" below that."""
    return tr("less than 1") if 0 < value < 1 else number(value)


#: By how much a value may be off: either way alike, or (down, up).
Off = float | tuple[float, float]
#: Where one side of a doubt is more than so many times the other, both are written.
_LOPSIDED = 2.0


def with_doubt(value: float, half: Off, unit: float = 1.0, digits: int = 0) -> tuple[str, str]:
    """A value and by how much it may be off, in a unit: ("5230", "± 52"), the second empty where nothing is doubtful.

    Neither is finer than so many decimals, nor than the second digit of the doubt (JCGM 100:2008, 7.2.6). A doubt
    that is larger to one side is written with both: "−0.3 +2.8", or with the one that is left when it is rounded.
    """
    down, up = half if isinstance(half, tuple) else (half, half)
    most = max(down, up)
    if not most > 0 or math.isinf(most):
        return number(value, unit, digits), ""
    off = most / unit
    digits = min(digits, 1 - math.floor(math.log10(off)))
    least = 10.0**-digits
    shown = [round(of / least) * least for of in (value / unit, max(off, least))]
    if most > _LOPSIDED * min(down, up) and off >= least:
        sides = [(sign, round(side / unit / least) * least) for sign, side in (("−", down), ("+", up))]
        off_by = " ".join(sign + number(side, 1, max(digits, 0)) for sign, side in sides if side)
        return number(shown[0], 1, max(digits, 0)), off_by
    return number(shown[0], 1, max(digits, 0)), f"± {number(shown[1], 1, max(digits, 0))}"


def measured(value: float, half: Off, unit: float = 1.0, digits: int = 0) -> str:
    """A value with its doubt as `with_doubt` has them: "5 ± 1"; without the doubt where there is none."""
    return " ".join(with_doubt(value, half, unit, digits)).rstrip()


def compared(
    before: float | None, after: float | None, half: Off, unit: float = 1.0, digits: int = 0
) -> tuple[str, str, str, str]:
    """Two values, by how much the second may be off ("± 2", empty where that is not told), and their difference."""
    if after is None:
        return number(before, unit, digits), NONE, "", NONE
    first, (shown, off) = number(before, unit, digits), with_doubt(after, half, unit, digits)
    if before is None:
        return first, shown, off, NONE
    # A doubtful value may be shown coarser than its decimals: whoever subtracts must get the same.
    change = as_number(shown) - as_number(first)
    return first, shown, off, _with_sign((after - before) / unit, round(change, digits), digits)


def shortest(value: float) -> str:
    """A value with no more digits than it has, at most six: "12.5", "−3"; for marks on a scale."""
    return decimal(f"{value + 0.0:g}".replace("-", "−"))


def signed(value: float | None, unit: float = 1.0, digits: int = 0) -> str:
    """A change in a unit with its sign: "+0.31", "−2"; "±0" only for none at all, else "<0.01" where it rounds away."""
    if value is None:
        return NONE
    return _with_sign(value / unit, round(value / unit, digits), digits)


def difference(before: float | None, after: float | None, unit: float = 1.0, digits: int = 0) -> str:
    """The signed difference of two values as they are shown, so that whoever subtracts gets the same."""
    if before is None or after is None:
        return NONE
    shown = round(after / unit, digits) - round(before / unit, digits)
    return _with_sign((after - before) / unit, round(shown, digits), digits)


def _with_sign(exact: float, shown: float, digits: int) -> str:
    if shown:
        return ("+" if shown > 0 else "−") + decimal(f"{abs(shown):.{digits}f}")
    return "±0" if abs(exact) < _NOISE * 10**-digits else decimal(f"<{10.0**-digits:.{digits}f}")


def percent(fraction: float | None, digits: int = 0) -> str:
    """A share: 0.123 is "12 %"."""
    return NONE if fraction is None else f"{number(100 * fraction, 1, digits)} %"


def signed_percent(fraction: float | None, digits: int = 1) -> str:
    """A relative change: "+2.2 %", "−2.2 %", "±0 %" for none at all."""
    return NONE if fraction is None else f"{signed(100 * fraction, 1, digits)} %"


def lap_time(seconds: float) -> str:
    """A lap time as it is told: "1:16.48", "58.30 s"."""
    hundredths = round(100 * seconds)
    if hundredths < 6000:
        return decimal(f"{hundredths / 100:.2f} s")
    minutes, rest = divmod(hundredths, 6000)
    return decimal(f"{minutes}:{rest / 100:05.2f}")


def computed_lap(seconds: float) -> str:
    """A lap time that is computed, "1:16.5": no more digits than it is known to. What two of them differ by is."""
    tenths = round(10 * seconds)
    return decimal(f"{tenths / 10:.1f} s" if tenths < 600 else f"{tenths // 600}:{tenths % 600 / 10:04.1f}")


def speed(value: float, unit: str, digits: int = 0) -> str:
    """A road speed in m/s with its unit: "213 km/h"."""
    return f"{number(value, ROAD_SPEED[unit], digits)} {unit}"


def counted(count: int, one: str, many: str) -> str:
    """ "1 tooth", "2 teeth", in the spoken language."""
    return f"{count} {trn(one, many, count)}"


def listed(names: Iterable[str], last: str = "") -> str:
    """ "front", "front and rear", "front, rear and chain"; `last` stands for the "and"."""
    whole = list(names)
    last = last or tr("and")
    return f"{', '.join(whole[:-1])} {last} {whole[-1]}" if len(whole) > 1 else "".join(whole)


def ordinal(count: int) -> str:
    """ "1st", "2nd", "3rd", "4th" …; "1." in German."""
    if spoken() == "de":
        return f"{count}."
    ending = "th" if 10 <= count % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(count % 10, "th")
    return f"{count}{ending}"


def inside(label: str) -> str:
    """A label as it stands within a sentence: "Drag area" as "drag area"; what is written in capitals stays."""
    if spoken() == "de":
        # A noun keeps its capital letter; others are labels that stand in quotes or behind a colon.
        return label
    return label if label[:2].isupper() else label[:1].lower() + label[1:]


#: What a spreadsheet takes as something to compute rather than as a text: OWASP, “CSV Injection”; the wide signs some.
#: A sign before a word is a text; before brackets, an address of another sheet or a program it is not.
_FORMULA = re.compile(r"\s*[=@＝＠]|[\t\r\n]|\s*[+\-＋－].*[(|!=]", re.DOTALL)
_NUMBER = re.compile(r"[+\-−]?[\d.,'’\s]*\d[\d.,\s]*")


def safe_cell(text: str) -> str:
    """A text for a cell of a table: one that a spreadsheet would compute gets an apostrophe before it, a number not."""
    return f"'{text}" if _FORMULA.match(text) and not _NUMBER.fullmatch(text) else text


def shortened(message: str) -> str:
    """A message in one line of at most 300 characters; what is too long in it is cut in its middle first."""
    line = " ".join(message.split())
    line = re.sub(rf"\S{{{_LONGEST_WORD},}}", lambda word: f"{word[0][:40]}…{word[0][-20:]}", line)
    return line if len(line) <= _LONGEST_MESSAGE else f"{line[: _LONGEST_MESSAGE - 1]}…"
