"""What the Ride log page has done beside the window: reading, telling, and computing the lap."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TypeAlias

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.bike.rider import Rider
from gearplan.language import tr
from gearplan.plan.choices.space import SpaceError, default_space
from gearplan.plan.findings import Finding
from gearplan.plan.laps.draws import usual_doubts
from gearplan.plan.laps.ranking import LapRow, rank_laps
from gearplan.plan.laps.sets import fitted_machines
from gearplan.plan.laps.spread import advice, plateau
from gearplan.plan.pull.pull import Pull
from gearplan.ridelog.demolog import Logger, closing, demo_laps, recorded
from gearplan.ridelog.laps.laps import StartLine
from gearplan.ridelog.laps.modelcheck import ModelFit, fit_model
from gearplan.ridelog.laps.tocircuit import CutCircuit
from gearplan.ridelog.learning.times import lowest_gear
from gearplan.ridelog.reading.columns import Layout
from gearplan.ridelog.reading.opening import form_of, read_log
from gearplan.ridelog.reading.said import keep, look_again
from gearplan.ridelog.telling.learned import Learned, learn
from gearplan.ridelog.telling.offers import Offer, of_counted
from gearplan.setup import riding
from gearplan.window.kit.background import Tell, Unwanted

Progress: TypeAlias = Tell
Cancelled: TypeAlias = Unwanted

_MOST_SETS = 6
#: Reading takes this share of the time, telling the rest.
_READING = 0.7


@dataclass(frozen=True, slots=True, eq=False)
class Read:
    """A layout to confirm (nothing learned yet), or what was learned about a bike.

    `day` is the one on which the file was written, None for a ride that is invented.
    """

    path: Path | None
    layout: Layout | None
    learned: Learned | None
    bike: Bike
    day: str | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Modelled:
    """What was computed: the fit, or in words why there is none; the quickest sets and what is said of them.

    It holds for the lap of `cut` and the profile `about`. The sets are ranked for `ranked`: the profile with what the
    lap decides. `lowest_gear` is the rider's in corners.
    """

    cut: CutCircuit
    about: Bike
    fit: ModelFit | None
    lacking: str
    ranked: Bike
    lowest_gear: int | None = None
    rows: tuple[LapRow, ...] = ()
    fitted: LapRow | None = None
    sentence: str = ""

    def holds(self, cut: CutCircuit | None, bike: Bike) -> bool:
        """Whether it holds for a lap and a profile; it still does once the fitted values are taken."""
        same = cut is not None and (cut.circuit, cut.lap) == (self.cut.circuit, self.cut.lap)
        return same and told_by(bike) in (told_by(self.about), told_by(self.ranked))


def told_by(bike: Bike) -> Bike:
    """What of a profile a ride is told by: not its other rides."""
    return replace(bike, rides=())


@dataclass(frozen=True, slots=True)
class Counted:
    """The edit by a set that was counted, or why it cannot be that one."""

    offer: Offer | str


def opened(path: Path, confirmed: Layout | None, bike: Bike, progress: Progress, cancelled: Cancelled) -> Read:
    """Read a file and tell it, or bring its layout to be confirmed where it leaves a doubt."""
    layout = confirmed
    if layout is None and form_of(path) == "csv":
        layout, clear = look_again(path)
        if not clear:
            return Read(path, layout, None, bike)

    def reading(share: float, rows: int) -> None:
        progress(_READING * share, tr("{rows:,} rows read", rows=rows).replace(",", "\N{THIN SPACE}"))

    log = read_log(path, layout, reading, cancelled)
    if confirmed is not None:
        # Nothing depends on its being kept: another time it is asked again.
        with contextlib.suppress(OSError):
            keep(confirmed)
    learned = learn(log, bike, None, _part(progress, _READING, 1 - _READING), cancelled)
    return Read(path, layout, learned, bike, date.fromtimestamp(path.stat().st_mtime).isoformat())


def demo(bike: Bike, ridden: Pull, circuit: Circuit, progress: Progress, cancelled: Cancelled) -> Read:
    """Some laps of an invented rider on another set than the profile says."""
    motion = demo_laps(ridden.machine, ridden.road, closing(circuit), 6, ease=0.008)
    log = recorded(motion, 1, Logger(rate=50), name=tr("Demo ride"))
    return Read(None, None, learn(log, bike, None, progress, cancelled), bike)


def again(
    read: Read,
    bike: Bike,
    line: StartLine | None,
    counted: tuple[int, int] | None,
    progress: Progress,
    cancelled: Cancelled,
) -> Read:
    """Tell a ride that has been read, against another profile, with another start line or with teeth counted."""
    assert read.learned is not None
    return replace(read, learned=learn(read.learned.log, bike, line, progress, cancelled, counted), bike=bike)


def counted(
    read: Read,
    bike: Bike,
    line: StartLine | None,
    teeth: tuple[int, int],
    progress: Progress,
    cancelled: Cancelled,
) -> Counted:
    """What a ride tells for a set that was counted, as one edit."""
    told = again(read, bike, line, teeth, progress, cancelled).learned
    assert told is not None
    return Counted(of_counted(told))


def modelled(bike: Bike, learned: Learned, cut: CutCircuit, progress: Progress, cancelled: Cancelled) -> Modelled:
    """The lap as computed for the bike as it was ridden, and the sets ranked on it with what the lap decides."""
    gears, lowest = learned.gears, None
    ridden = bike if gears is None or gears.most_likely is None else gears.most_likely.applied(bike)
    if gears is not None:
        lowest = lowest_gear(learned.log, gears.ratios, gears.numbers, cut.lap.start, cut.lap.end)
    rules = riding.rules(ridden, Rider(lowest_gear=lowest))
    made = fitted_machines(ridden)
    fit = None if isinstance(made, Finding) else fit_model(made, cut, rules, cancelled)
    progress(0.6)
    lacking = made.text if isinstance(made, Finding) else ""
    ranked = bike if fit is None else fit.applied(bike)
    try:
        ranking = rank_laps(ranked, cut.circuit, default_space(ranked), rules)
    except SpaceError as refused:
        return Modelled(cut, bike, fit, lacking or str(refused), ranked)
    if isinstance(ranking, Finding):
        return Modelled(cut, bike, fit, lacking or ranking.text, ranked)
    doubts = usual_doubts(ranked)
    if fit is not None:
        # The doubt about mass, grip and braking is what the lap leaves of it.
        spread = {one.field: (one.high - one.low) / 4 / one.value for one in fit.values}
        mass = spread["load.bike_kg"] * fit.values[1].value
        grip, braking, mass = (float(f"{of:.1g}") for of in (spread["tyre.grip"], spread["load.braking_mps2"], mass))
        doubts = replace(doubts, grip=grip, mass_kg=mass, braking=braking)
    tied = plateau(ranking, doubts)
    told = "" if tied is None else advice(ranking, tied)
    return Modelled(cut, bike, fit, lacking, ranked, lowest, ranking.best(_MOST_SETS), ranking.fitted, told)


def _part(progress: Progress, first: float, share: float) -> Progress:
    """Progress of a part of the work as progress of the whole."""

    def told(done: float, words: str = "", /) -> None:
        progress(first + share * done, words)

    return told
