"""Gear pairs that a race gearbox can be built with, as a person writes them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from gearplan.bike import values
from gearplan.bike.entries import Ratio
from gearplan.bike.profile import Bike, entry
from gearplan.bike.text.numbertext import NumberTextError, parse_number, parse_whole
from gearplan.language import decimal, tr
from gearplan.setup.ratios import gearbox, whole_ratio

_MOST = 8
#: A gear's other pairs lie within these shares of its own ratio, else they are asked about: common practice, no source.
_NEAR = (0.7, 1.4)


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
            raise OptionsError(
                tr("“{part}”: {refused}; write, say, 14/33; 15/34", part=part, refused=refused)
            ) from refused
        if text_of := values.check_entry(entry("gearbox", "primary"), ratio):
            raise OptionsError(f"“{part}”: {text_of}")
        if ratio not in found:
            found.append(ratio)
    if len(found) > _MOST:
        raise OptionsError(
            tr("{found} pairs for one gear are too many; write at most {most}", found=len(found), most=_MOST)
        )
    return tuple(found)


def alternatives(bike: Bike, options: tuple[tuple[Ratio, ...], ...]) -> tuple[tuple[Ratio, ...], ...] | None:
    """For each gear its own ratio and its options; None where no gear has any."""
    gears = gearbox(bike).gears
    if not any(options[: len(gears)]):
        return None
    padded = (*options, *((),) * len(gears))
    return tuple(tuple(dict.fromkeys((*(() if gear is None else (gear,)), *padded[k]))) for k, gear in enumerate(gears))


def pair_doubts(bike: Bike, options: tuple[tuple[Ratio, ...], ...] | None) -> tuple[str, ...]:
    """What is asked about the pairs that each gear may have (its own among them or not), in words.

    A pair that is not between the gears beside it is in no gearbox; one far from its gear's own ratio is hardly meant.
    """
    gears = bike.gearbox.gears or ()
    own = [whole_ratio(gear) for gear in gears]
    offered = (*(options or ()), *((),) * len(gears))[: len(gears)]
    of_gear = [
        [value for value in (known, *map(whole_ratio, more)) if value is not None]
        for known, more in zip(own, offered, strict=True)
    ]
    found: list[str] = []
    for k, more in enumerate(offered):
        above, below = (max(of_gear[k - 1], default=math.inf) if k else math.inf), 0.0
        if k + 1 < len(gears):
            below = min(of_gear[k + 1], default=0.0)
        for ratio in more:
            if ratio != gears[k] and (value := whole_ratio(ratio)) is not None:
                found += _doubt(k + 1, ratio, value, own[k], (above, below))
    return tuple(found)


def _doubt(gear: int, ratio: Ratio, value: float, own: float | None, beside: tuple[float, float]) -> Iterator[str]:
    above, below = beside

    def wrong(value: float) -> str:
        if value >= above:
            return tr("is not below gear {gear}'s {above:.3f}, so it is in no gearbox", gear=gear - 1, above=above)
        if value <= below:
            return tr("is not above gear {gear}'s {below:.3f}, so it is in no gearbox", gear=gear + 1, below=below)
        far = own is not None and not _NEAR[0] * own <= value <= _NEAR[1] * own
        return tr("is far from this gear's own {own:.3f}", own=own) if far else ""

    if not (why := wrong(value)):
        return
    name = decimal(f"{ratio[0]}/{ratio[1]} ({value:.3f})") if isinstance(ratio, tuple) else decimal(f"{value:.3f}")
    text = tr("Gear {gear}: {name} {why}.", gear=gear, name=name, why=why)
    if isinstance(ratio, tuple) and not wrong(1 / value):
        text += tr(
            " Are driver and driven swapped? The driving gear comes first: {ratio}/{ratio2}.",
            ratio=ratio[1],
            ratio2=ratio[0],
        )
    yield text
