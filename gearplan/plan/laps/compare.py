"""Two laps against each other: time gained along the lap, and where one set wins or loses, in words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit
from gearplan.bike.text.units import KMH, RPM
from gearplan.drive.lap.trace import Trace
from gearplan.language import tr, trn
from gearplan.plan.laps.ranking import LapRanking, LapRow

Floats = NDArray[np.float64]

#: Less than this is not told of a section (s).
_TOLD_FROM = 0.005
_MOST_TOLD = 8


@dataclass(frozen=True, slots=True)
class SectionGain:
    """One section: seconds that the other set gains on the fitted one there (negative: loses), and why."""

    section: int
    gain: float
    text: str


def gained(fitted: Trace, proposed: Trace, step: float = 5.0) -> tuple[Floats, Floats]:
    """(Distance, seconds) that the proposed set is ahead of the fitted one along the lap, from 0 at the start."""
    distance = np.append(np.arange(0.0, fitted.distance[-1], step), fitted.distance[-1])
    ahead = fitted.time_at(distance) - proposed.time_at(distance)
    return distance, ahead


def section_gains(
    ranking: LapRanking, fitted: LapRow, proposed: LapRow, unit: float = KMH, unit_name: str = "km/h"
) -> tuple[SectionGain, ...]:
    """Every section with what the proposed set gains there against the fitted one, in driving order."""
    times = {int(row): place for place, row in enumerate(ranking.detailed)}
    one, other = (ranking.laps.section_time[:, times[row.index]] for row in (fitted, proposed))
    shifts = [ranking.laps.shifts[:, times[row.index]] for row in (fitted, proposed)]
    limited = [ranking.laps.limiter[:, times[row.index]] for row in (fitted, proposed)]
    uses = [{use.section: use for use in (*row.apex, *row.straight)} for row in (fitted, proposed)]
    found = []
    for n, section in enumerate(ranking.circuit.sections):
        gain = float(one[n] - other[n])
        before, after = uses[0][n], uses[1][n]
        reasons = []
        fewer = int(shifts[0][n] - shifts[1][n])
        if fewer:
            reasons.append(
                trn("one up-shift fewer", "{n} up-shifts fewer", fewer)
                if fewer > 0
                else trn("one up-shift more", "{n} up-shifts more", -fewer)
            )
        held = float(limited[1][n] - limited[0][n])
        if abs(held) >= 0.05:
            reasons.append(
                tr("{seconds:.1f} s more at the limiter", seconds=held)
                if held > 0
                else tr("{seconds:.1f} s less at the limiter", seconds=-held)
            )
        now, was = (f"{use.speed / unit:.0f}" for use in (after, before))
        # Time that is lost on the way to a higher speed is not told by that speed.
        if section.kind == "straight" and now != was and gain * (after.speed - before.speed) > 0:
            reasons.append(
                tr("{now} instead of {was} {unit_name} at its fastest", now=now, was=was, unit_name=unit_name)
            )
        if after.gear != before.gear:
            reasons.append(
                tr("gear {gear} instead of {gear2} at {rpm:.0f} rpm", gear=after.gear, gear2=before.gear, rpm=after.rpm)
            )
        elif abs(after.engine - before.engine) > 100 * RPM:
            reasons.append(
                tr(
                    "{rpm:.0f} instead of {rpm2:.0f} rpm in gear {gear}",
                    rpm=after.rpm,
                    rpm2=before.rpm,
                    gear=after.gear,
                )
            )
        found.append(SectionGain(n, gain, _told(ranking.circuit, n, gain, reasons)))
    return tuple(found)


def gain_sentences(
    ranking: LapRanking, fitted: LapRow, proposed: LapRow, unit: float = KMH, unit_name: str = "km/h"
) -> tuple[str, ...]:
    """Where the proposed set wins and loses, the greatest first; first of all by how much in all."""
    gains = section_gains(ranking, fitted, proposed, unit, unit_name)
    total = fitted.time - proposed.time
    if abs(total) < _TOLD_FROM:
        first = tr("Both sets take the same time round the lap.")
    else:
        first = (
            tr("The proposed set gains {seconds:.2f} s a lap on the fitted one.", seconds=total)
            if total > 0
            else tr("The proposed set loses {seconds:.2f} s a lap on the fitted one.", seconds=-total)
        )
    told = sorted((g for g in gains if abs(g.gain) >= _TOLD_FROM), key=lambda g: -abs(g.gain))
    return (first, *(g.text for g in told[:_MOST_TOLD]))


def _told(circuit: Circuit, n: int, gain: float, reasons: list[str]) -> str:
    section = circuit.sections[n]
    note = f" ({section.note})" if section.note else ""
    name = tr("Section {n}, {kind}{note}", n=n + 1, kind=tr(section.kind), note=note)
    if abs(gain) < _TOLD_FROM:
        what = tr("no difference")
    else:
        what = (
            tr("the proposed set gains {seconds:.2f} s", seconds=gain)
            if gain > 0
            else tr("the proposed set loses {seconds:.2f} s", seconds=-gain)
        )
    return f"{name}: {what}{': ' + ', '.join(reasons) if reasons else ''}."
