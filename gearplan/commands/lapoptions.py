"""What several commands ask about laps: what is in doubt, and what a race gearbox can be built with."""

from __future__ import annotations

import argparse
from dataclasses import replace

from gearplan.bike.entries import Ratio
from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import NumberTextError, parse_whole
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.commands.asked import Refused, number
from gearplan.language import tr
from gearplan.plan.laps.draws import DOUBT_BOUNDS, Doubts, usual_doubts
from gearplan.plan.laps.gearboxes import OptionsError, alternatives, read_options
from gearplan.plan.laps.sets import Alternatives
from gearplan.setup.ratios import gearbox

#: Field of `Doubts`, placeholder, unit and SI in one of it, by the name of the option.
_DOUBTS = {
    "grip-doubt": ("grip", "PERCENT", "%", 0.01),
    "wind-doubt": ("wind_mps", "KMH", "km/h", KMH),
    "mass-doubt": ("mass_kg", "KG", "kg", 1.0),
    "shift-time-doubt": ("shift_time_s", "SECONDS", "s", 1.0),
    "braking-doubt": ("braking", "PERCENT", "%", 0.01),
    "apex-doubt": ("apex", "PERCENT", "%", 0.01),
    "lowest-gear-doubt": ("lowest_gear", "GEARS", "gears", 1.0),
    "first-below-doubt": ("first_below_mps", "KMH", "km/h", KMH),
    "short-shift-doubt": ("short_shift", "RPM", "rpm", RPM),
    "no-shift-beyond-doubt": ("no_shift_beyond", "DEGREES", "degrees", DEGREE),
    "downshift-time-doubt": ("down_shift_s", "SECONDS", "s", 1.0),
}


def add_doubts(parser: argparse.ArgumentParser) -> None:
    """The options about what is in doubt."""
    for option, (key, metavar, _, _) in _DOUBTS.items():
        what = tr("apex speeds that are entered") if key == "apex" else option.replace("-", " ").removesuffix(" doubt")
        way = tr("each way, in whole gears, in one case of four") if key == "lowest_gear" else tr("each way")
        words = tr("doubt about the {what}, {way}", what=what, way=way)
        parser.add_argument(f"--{option}", type=number, metavar=metavar, help=words)


def add_pairs(parser: argparse.ArgumentParser) -> None:
    """The option about a race gearbox."""
    parser.add_argument(
        "--pairs",
        action="append",
        nargs=2,
        default=[],
        metavar=("GEAR", "PAIRS"),
        help=tr('other pairs of a race gearbox for a gear, such as --pairs 3 "19/28; 20/29"'),
    )


def pairs_of(bike: Bike, given: list[tuple[str, str]]) -> Alternatives | None:
    """The race gearbox' options by gear."""
    count = len(gearbox(bike).gears)
    options: list[tuple[Ratio, ...]] = [()] * count
    for gear, text in given:
        try:
            number = parse_whole(gear)
            pairs = read_options(text)
        except (NumberTextError, OptionsError) as error:
            raise Refused(tr("--pairs {gear}: {error}", gear=gear, error=error)) from error
        if not 1 <= number <= count:
            raise Refused(tr("--pairs {gear}: this bike has gears 1 to {count}", gear=gear, count=count))
        options[number - 1] += pairs
    return alternatives(bike, tuple(options))


def doubts_of(asked: argparse.Namespace, bike: Bike) -> Doubts:
    """What is in doubt, as asked; what is not asked is as usual for the bike."""
    given = {}
    for option, (key, _, unit, si) in _DOUBTS.items():
        value = getattr(asked, option.replace("-", "_"))
        if value is None:
            continue
        low, high = (bound / si for bound in DOUBT_BOUNDS[key])
        if key == "lowest_gear" and value != round(value):
            raise Refused(tr("--{option} {value:g}: give whole gears", option=option, value=value))
        if not low <= value <= high:
            raise Refused(
                tr(
                    "--{option} {value:g}: give {low:g} to {high:g} {unit}",
                    option=option,
                    value=value,
                    low=low,
                    high=high,
                    unit=unit,
                )
            )
        given[key] = value * si
    return replace(usual_doubts(bike), **given)
