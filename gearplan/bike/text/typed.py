"""What was typed into a field for a number: one value in the field's own unit, or a refusal in words.

A unit may stand behind the number. What could be meant in two ways is refused, never guessed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

from gearplan.language import tr

from .numbertext import NumberTextError, parse_number, parse_whole
from .units import Quantity, Unit, converted, measured_in

_PARTS = re.compile(r"([+\-−]?\s?[\d.,]*(?:['’ \u00a0\u202f]\d{3})*[\d.,]*)\s*(.*)", re.DOTALL)
#: "1300 1/min": the figure one belongs to the unit.
_ONE_PER = re.compile(r"(?<=\d)\s+1\s*/\s*(?=[A-Za-z])")
#: Three digits behind a point or comma: as good a group of thousands as a fraction.
_EITHER = re.compile(r"[+\-−]?[1-9]\d{0,2}[.,]\d{3}")
#: Letters that stand beside the figures on a keyboard, or look like them.
_LOOKALIKES = str.maketrans({"l": "1", "I": "1", "|": "1", "O": "0", "o": "0"})
_LONGEST = 40
_BARE = Unit("")


@dataclass(frozen=True, slots=True)
class Typed:
    """A value in the field's unit, and how it is told where it was typed in another one ("115.2 N·m")."""

    value: float
    told: str = ""


def _anything(_value: float) -> str | None:
    return None


def read_typed(
    text: str, unit: str = "", *, whole: bool = False, check: Callable[[float], str | None] = _anything
) -> Typed:
    """The value that a text means in a field's unit (see `units.measured_in`).

    `check` says why a value cannot stand, None if it can. A value converted from another unit has six digits, that of
    an odometer all.
    NumberTextError for everything that is not clearly one value that can stand.
    """
    figures, number, given, own = _read(text, unit, whole=whole)
    _either(figures, lambda factor: check(_in_own(number * factor, given, own)))
    value = _in_own(number, given, own)
    if refusal := check(value):
        raise NumberTextError(refusal)
    return Typed(value, "" if given is own else _told(value, own, figures, given))


def read_number(text: str, unit: str = "", *, whole: bool = False) -> tuple[float, str]:
    """(number, unit) as they were written; `unit` is meant where none is. NumberTextError as `read_typed`."""
    _, number, given, _ = _read(text, unit, whole=whole)
    return number, given.name


def _read(text: str, unit: str, *, whole: bool) -> tuple[str, float, Unit, Unit]:
    """(the figures, their number, the unit they are in, the field's own unit)."""
    given = text.strip()
    figures, written = _apart(given, whole=whole)
    measured = measured_in(unit)
    if measured is None:
        return figures, _parse(given if written else figures, whole=whole), _BARE, _BARE
    quantity, own = measured
    given_in = _unit(quantity, written) if written else own
    return figures, _parse(figures, whole=whole), given_in, own


def _apart(given: str, *, whole: bool) -> tuple[str, str]:
    """The number and the unit behind it, which may be empty."""
    match = _PARTS.fullmatch(_ONE_PER.sub(" /", given))
    number, written = match.groups() if match else (given, "")
    meant = given.translate(_LOOKALIKES)
    if meant != given and any(sign.isdigit() for sign in given) and re.fullmatch(r"\d+([.,]\d+)?", meant):
        kind = tr("whole number") if whole else "number"
        like = re.sub(r"[.,]", "", meant) if _EITHER.fullmatch(meant) else meant
        raise NumberTextError(
            tr(
                "“{given}” is not a {kind}; write it like {like}",
                given=given[:_LONGEST],
                kind=kind,
                like=like[:_LONGEST],
            )
        )
    if not any(sign.isdigit() for sign in number) or (written and written[0].isdigit()):
        # All of it was meant for a number.
        return given, ""
    return number, written


def _parse(number: str, *, whole: bool) -> float:
    return parse_whole(number) if whole else parse_number(number)


def _unit(quantity: Quantity, written: str) -> Unit:
    found = quantity.spelled(written)
    if found is not None:
        return found
    shown = f"“{written.strip()[:_LONGEST]}”"
    if len(quantity.units) == 1:
        raise NumberTextError(tr("{shown} does not belong here; write the number alone", shown=shown))
    if quantity.name == "share":
        raise NumberTextError(tr("{shown} does not belong here; write the number alone, or with %", shown=shown))
    raise NumberTextError(
        tr(
            "{shown} is not a unit of {name}; write {choices}",
            shown=shown,
            name=quantity.name,
            choices=quantity.choices,
        )
    )


def _in_own(number: float, given: Unit, own: Unit) -> float:
    if given is own:
        return number
    value = converted(number, given, own)
    # From whole kilometres the miles of an odometer could not be told again.
    return value if own.name == "km" else float(f"{value:.6g}")


def _either(number: str, refused: Callable[[float], str | None]) -> None:
    """Refuse a number whose point or comma can be read as a group mark, if the thousandfold could stand as well."""
    if not _EITHER.fullmatch(number) or refused(1000.0) is not None:
        return
    joined = re.sub(r"[.,]", "", number)
    if (refusal := refused(1.0)) is not None:
        raise NumberTextError(
            tr("{refusal}; for {joined} leave out the thousands separator", refusal=refusal, joined=joined)
        )
    plain = number.replace(",", ".").rstrip("0")
    small = plain.rstrip(".") if plain.endswith(".") or len(plain) < len(number) else f"{plain}0"
    raise NumberTextError(
        tr("“{number}” can be read in two ways; write {joined} or {small}", number=number, joined=joined, small=small)
    )


def _told(value: float, own: Unit, figures: str, given: Unit) -> str:
    """A converted value with no more digits than were written, and none finer than their last one."""
    behind = re.search(r"[.,](\d+)$", figures.strip())
    finest = 10.0 ** -(len(behind[1]) if behind else 0) * given.size / own.size
    written = len(re.sub(r"\D", "", figures).lstrip("0"))
    before = math.floor(math.log10(abs(value))) + 1 if value else 1
    digits = max(min(written - before, math.ceil(-math.log10(finest))), 0)
    return f"{value:.{digits}f} {own.name}".strip()
