"""Gear pairs that a race gearbox can be built with, as a person writes them."""

from __future__ import annotations

import re

from gearplan.bike import values
from gearplan.bike.entries import Ratio
from gearplan.bike.numbertext import NumberTextError, parse_number, parse_whole
from gearplan.bike.profile import Bike, entry

_MOST = 8


class OptionsError(ValueError):
    """Text that names no gear pairs; the message says what would be right."""


def read_options(text: str) -> tuple[Ratio, ...]:
    """Pairs of teeth, driver/driven, or ratios, with semicolons between; empty for none."""
    found: list[Ratio] = []
    for part in (part.strip() for part in text.split(";")):
        if not part:
            continue
        try:
            pair = re.fullmatch(r"(\S+?)\s*[/:]\s*(\S+)", part)
            ratio: Ratio = (parse_whole(pair[1]), parse_whole(pair[2])) if pair else parse_number(part)
        except NumberTextError as refused:
            raise OptionsError(f"“{part}”: {refused}; write, say, 14/33; 15/34") from refused
        if text_of := values.check_entry(entry("gearbox", "primary"), ratio):
            raise OptionsError(f"“{part}”: {text_of}")
        if ratio not in found:
            found.append(ratio)
    if len(found) > _MOST:
        raise OptionsError(f"{len(found)} pairs for one gear are too many; write at most {_MOST}")
    return tuple(found)


def alternatives(bike: Bike, options: tuple[tuple[Ratio, ...], ...]) -> tuple[tuple[Ratio, ...], ...] | None:
    """For each gear its own ratio and its options; None where no gear has any."""
    gears = bike.gearbox.gears or ()
    if not any(options[: len(gears)]):
        return None
    padded = (*options, *((),) * len(gears))
    return tuple(tuple(dict.fromkeys((*(() if gear is None else (gear,)), *padded[k]))) for k, gear in enumerate(gears))
