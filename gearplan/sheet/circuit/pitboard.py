"""What stands on the pit board: one set's gears and engine speeds, to be read from three metres."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.circuit import turn_name
from gearplan.bike.profile import Bike
from gearplan.bike.text.written import computed_lap, gear
from gearplan.language import decimal, tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.laps.trackmap import CircuitMap, circuit_map
from gearplan.plan.laps.view import LapView
from gearplan.plan.words import set_name, teeth
from gearplan.setup.ratios import gearbox


@dataclass(frozen=True, eq=False)
class PitBoard:
    """The board; engine speeds in thousands of rpm. `corners` are (number, gear, engine speed) in driving order;
    `marks` are the up-shifts: where on the line (index of its point) and into which gear. `end` is (gear, engine
    speed) at the end of the fastest straight, `last` the highest engine speed that can be used, `last_is` what sets
    it. `small` is for whoever stands before it.
    """

    title: str
    set: str
    small: str
    line: CircuitMap
    marks: tuple[tuple[int, str], ...]
    corners: tuple[tuple[str, str, str], ...]
    end: tuple[str, str]
    last: str
    last_is: str


def pit_board(bike: Bike, chosen: DriveSet, lap: LapView, *, weather: str = "") -> PitBoard:
    """The board of the proposed set's lap; `weather` says what is changed for a wet track."""
    circuit, row, trace = lap.ranking.circuit, lap.row, lap.proposed
    line = circuit_map(circuit)
    # Coming off the brakes a corner may ask for a higher gear than its approach: nobody shifts up there.
    ups = np.nonzero((np.diff(trace.gear) > 0) & (trace.driving[:-1] > 0))[0] + 1
    points = [int(np.argmin(np.abs(line.distance - trace.distance[at]))) for at in ups.tolist()]
    marks = tuple(zip(points, (str(into + 1) for into in trace.gear[ups].tolist()), strict=True))
    fastest = max((*row.straight, *row.apex), key=lambda use: use.speed)
    limiter = bike.engine.limiter_rpm
    end = bike.engine.end_rpm
    pairs = ", ".join(gear(ratio) for ratio in gearbox(bike).gears if ratio is not None)
    # What a line's turns are called by themselves says no more than their number.
    notes = [(n, circuit.sections[s].note) for n, s in enumerate(circuit.corners, 1)]
    named = [f"{n}: {note}" for n, note in notes if note and note != turn_name(n)]
    return PitBoard(
        title=tr(
            "{name} at {name2}{text}",
            name=bike.name or tr("Unnamed bike"),
            name2=circuit.name or tr("an unnamed circuit"),
            text=tr(", wet") if weather else "",
        ),
        set=teeth(chosen),
        small=(
            tr(
                "{set_name}. Gears {pairs}. Lap {time}, {up_shifts} up-shifts. {text}{weather}{part}Computed, "
                "not advice.",
                set_name=set_name(chosen),
                pairs=pairs,
                time=computed_lap(row.time),
                up_shifts=row.up_shifts,
                text=tr("Corners: ") + "; ".join(named) + ". " if named else "",
                weather=weather,
                part=" " if weather else "",
            )
        ),
        line=line,
        marks=marks,
        corners=tuple((str(number), str(use.gear), _thousands(use.rpm)) for number, use in enumerate(row.apex, 1)),
        end=(str(fastest.gear), _thousands(fastest.rpm)),
        last="–" if end is None else _thousands(end),
        last_is=tr("limiter") if limiter is not None else tr("redline"),
    )


def _thousands(rpm: float) -> str:
    """Engine speed as it is read on the instrument: "12.6" thousands of rpm."""
    return decimal(f"{rpm / 1000:.1f}")
