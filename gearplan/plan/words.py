"""How sets and verdicts are named, and numbers rounded as sure as they are: once for screen, paper and command."""

from __future__ import annotations

import math
from dataclasses import dataclass

from gearplan.bike.profile import Bike
from gearplan.bike.text.numbertext import shown_number
from gearplan.bike.text.written import ROAD_SPEED
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Level

#: The verdict as it is said to a person.
VERDICT: dict[Level, str] = {"fits": tr("Fits"), "check": tr("Check"), "does not fit": tr("Does not fit")}

MANUAL_FIRST = tr("The maker's manual and the machine's service data come first.")
APPROVAL = tr(
    "Changed gearing can make the speedometer wrong and can affect type approval, insurance and the rules on noise and "
    "emissions: check local law."
)
NOT_ADVICE = tr("Speeds are computed possibilities, not advice: obey limits.")
#: What goes with every fitting, and the part of it that a customer is told.
CAUTIONS = (
    tr(
        "{manual_first} Fitting is work for a qualified technician: bike on a stand, wheel locked, hands clear "
        "of chain and sprockets, eyes and hands protected when a chain is cut or riveted.",
        manual_first=MANUAL_FIRST,
    ),
    tr(
        "Use a riveted link, not a clip, where the chain's maker says so. Renew single-use nuts and links. "
        "Check the slack "
        "at the tightest point after the axle is torqued, and again after the first ride. Pump the brake up before the "
        "bike moves."
    ),
    tr("{approval} Parts for the track stay on the track. {not_advice}", approval=APPROVAL, not_advice=NOT_ADVICE),
)
CUSTOMER_CAUTIONS = (
    tr("{manual_first} Fitting is work for a qualified technician.", manual_first=MANUAL_FIRST),
    APPROVAL,
    NOT_ADVICE,
)

#: Relative doubt from which a number is said with "about", and from which with "roughly".
_ABOUT_FROM, _ROUGHLY_FROM = 0.003, 0.05
#: As much as is quoted of a text that could not be read.
_LONGEST_QUOTED = 40
#: Nobody says more digits than this share of the number, however sure it is.
_FINEST = 0.01


def teeth(chosen: DriveSet) -> str:
    """Front and rear teeth as the trade writes them: "15/46"."""
    return f"{_or_dash(chosen.front)}/{_or_dash(chosen.rear)}"


def chain_name(chosen: DriveSet) -> str:
    """The rest of the set: "520 chain, 112 links", "new 520 chain" where that had to be asked for."""
    parts = [
        tr("{part}{or_dash} chain", part="new " if chosen.new_chain else "", or_dash=_or_dash(chosen.chain)),
        tr("{or_dash} links", or_dash=_or_dash(chosen.links)),
    ]
    others = ([chosen.tyre] if chosen.tyre else []) + ([tr("other gears")] if chosen.gears else [])
    return ", ".join(parts + others)


def set_name(chosen: DriveSet) -> str:
    """The whole set in one line: "15/46, 520 chain, 112 links"."""
    return f"{teeth(chosen)}, {chain_name(chosen)}"


def whose(bike: Bike) -> str:
    """Owner, registration and frame number for paper, as far as they are entered; the contact is for the shop alone."""
    owner = bike.owner
    marks = (("registration", owner.registration), (tr("frame number"), owner.frame_number))
    told = ", ".join(filter(None, (owner.name, *(f"{label} {mark}" for label, mark in marks if mark))))
    return told[:1].upper() + told[1:]


def _or_dash(value: object) -> str:
    return "–" if value is None else str(value)


@dataclass(frozen=True, slots=True)
class Speed:
    """A road speed as it was said: the number and "km/h" or "mph"."""

    value: float
    unit: str = "km/h"

    @property
    def si(self) -> float:
        """The speed in m/s."""
        return self.value * ROAD_SPEED[self.unit]

    @property
    def words(self) -> str:
        """Number and unit."""
        return f"{shown_number(self.value)} {self.unit}"


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in a sentence: as it is `shown`, the `exact` value behind it, and what it is (`of`, with its unit).

    `shown` differs from `exact` by no more than half a `step`.
    """

    shown: float
    exact: float
    of: str
    step: float


def step_for(value: float, doubt: float) -> float:
    """The step to round to: 1 or 5 times a power of ten, nearest to the doubt or to 1 % of the value."""
    wanted = max(abs(doubt), _FINEST * abs(value), 1e-12)
    power = math.floor(math.log10(wanted))
    steps = [m * 10.0**p for p in (power, power + 1) for m in (1, 5)]
    return min(steps, key=lambda step: abs(math.log(step / wanted)))


def said(value: float, doubt: float, of: str, least: float = 1.0) -> Figure:
    """A value rounded as sure as it is; never finer than `least`."""
    step = max(step_for(value, doubt), least)
    return Figure(round(value / step) * step, value, of, step)


def alike(value: float, other: Figure) -> Figure:
    """A value rounded to the step of another, so that their difference is that of the exact ones within a step."""
    return Figure(round(value / other.step) * other.step, value, other.of, other.step)


def adverb(value: float, doubt: float) -> str:
    """ "roughly ", "about " or nothing, by the relative doubt."""
    share = abs(doubt / value) if value else math.inf
    if share >= _ROUGHLY_FROM:
        return tr("roughly ")
    return tr("about ") if share >= _ABOUT_FROM else ""


def unread(label: str, text: str) -> str:
    """What is said of a field whose text counts as nothing entered."""
    return tr("{label}: “{short}” was not accepted and is left out.", label=label, short=_short(text))


def not_in_the_file(fields: tuple[tuple[str, str], ...]) -> str:
    """Which fields, as (label, text), a saved file lacks; empty if it lacks none."""
    named = ", ".join(f"{label} (“{_short(text)}”)" for label, text in fields)
    return tr("Not in the file, because it was not accepted: {named}.", named=named) if named else ""


def _short(text: str) -> str:
    first = text.split("\n")[0]
    return first if first == text and len(first) <= _LONGEST_QUOTED else f"{first[:_LONGEST_QUOTED]}…"
