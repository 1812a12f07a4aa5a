"""A recorded lap as a circuit: corners at their apex speeds, straights between them, in relative metres. SI inside.

A corner is where the speed has a marked lowest; it reaches as far as the rider stayed within three per cent of that,
and is held at the speed that takes as long. Its turn, from the positions, is all that the bend turns, as a person says,
also where it is ridden while braking or driving out. Gradients come from the heights of all whole laps. No coordinate
leaves this module.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.text.units import DEGREE, KMH
from gearplan.language import tr, trn
from gearplan.ridelog.laps.laps import Lap, Laps, distance
from gearplan.ridelog.log import Floats, LogError, RideLog

_STEP = 2.0
#: A shorter lap is none (m).
_SHORTEST_LAP = 40.0
#: Smoothing (one standard deviation, m) of speed, path and heights.
_SMOOTH_SPEED, _SMOOTH_PATH, _SMOOTH_HEIGHT = 5.0, 8.0, 25.0
#: A lowest speed makes a corner if it lies this much below both sides.
_MARKED, _MARKED_SHARE = 1.5, 0.05
_HELD = 0.03
_SHORTEST_STRAIGHT = 8.0
_LEAST_TURN = 0.5
#: A corner's bend: smoothing of its curvature (one standard deviation, m), radius (m) from which on it is none and is
#: ridden flat out (common practice, no source), and how far from the corner's held piece it may be sharpest (m).
_SMOOTH_BEND, _WIDEST, _BEND_NEAR = 8.0, 600.0, 30.0
#: A straight that turns by so much has a bend that a person would count (°).
_COUNTED_BEND = 20.0


@dataclass(frozen=True, slots=True)
class Apex:
    """A corner's slowest place: metres from the start of the lap, speed (m/s), radius there (m) if it is known."""

    section: int
    at: float
    speed: float
    radius: float | None


@dataclass(frozen=True, slots=True, eq=False)
class CutCircuit:
    """The circuit of a lap, with the lap's course as evidence: `along` (m) and `speed` (m/s).

    `moved` is how far (m) after the start line the circuit begins, so that it begins on a straight. `rough` says that
    it rests on the speed alone.
    """

    circuit: Circuit
    apexes: tuple[Apex, ...]
    along: Floats
    speed: Floats
    lap: Lap
    moved: float
    rough: bool
    notes: tuple[str, ...]


def circuit_of(log: RideLog, laps: Laps, lap: Lap, name: str) -> CutCircuit:
    """Turn a lap into a circuit; LogError in one line if it has no corner."""
    notes: list[str] = []
    filled, walked = distance(log)
    length = _length(laps, lap, log, walked)
    if not length > _SHORTEST_LAP:
        raise LogError(tr("By the recorded speed this lap has no length; check the column of the speed."))
    count = max(40, round(length / _STEP))
    along = np.linspace(0, length, count, endpoint=False)
    raw = _over_lap(log.time, walked, filled, lap, count)
    speed = _smooth(raw, _SMOOTH_SPEED / (length / count))
    turning = _turning(laps, lap, count, length)
    height = _heights(log, laps, walked, count, length)
    held = _corners(speed)
    if not held:
        raise LogError(tr("The speed of this lap has no marked lowest, so no corner can be told."))
    step = length / count
    ordered, moved = _from_a_straight(held, count, step)
    owner = None if turning is None else _owned(turning, ordered, step)
    sections: list[Section] = []
    apexes: list[Apex] = []
    for number, (kind, first, cells) in enumerate(ordered):
        places = (first + np.arange(cells)) % count
        turn = core = 0.0
        if turning is not None:
            turn, core = float(turning[owner == number].sum()) / DEGREE, float(turning[places].sum()) / DEGREE
        rise = 0.0 if height is None else 100 * _rise(height, first, cells, count) / (cells * step)
        turned = round(turn, 1) if abs(turn) >= _LEAST_TURN else 0.0
        gradient = round(float(np.clip(rise, -40, 40)), 1) + 0.0
        if kind == "straight":
            sections.append(Section("straight", round(cells * step, 1), gradient, turn_deg=turned))
            continue
        apex = _apex_speed(speed[places])
        radius = None
        if abs(core) > _LEAST_TURN:
            radius = float(np.clip(cells * step / (abs(core) * DEGREE), 2.0, 20_000.0))
        at = float(along[int(places[int(np.argmin(speed[places]))])])
        apexes.append(Apex(len(sections), at, apex, radius))
        sections.append(
            Section(
                "corner",
                round(cells * step, 1),
                gradient,
                apex_kmh=round(apex / KMH, 1),
                radius_m=None if radius is None else round(radius, 1),
                turn_deg=turned,
            )
        )
    if laps.rough:
        notes.append(
            tr("Without positions: lengths rest on the speed, turns are not known, and laps are told by pattern.")
        )
    flat_out = sum(one.kind == "straight" and abs(one.turn_deg) >= _COUNTED_BEND for one in sections)
    if flat_out:
        notes.append(
            trn(
                "One straight bends by {angle:.0f}° or more and is ridden without slowing down.",
                "{n} straights bend by {angle:.0f}° or more and are ridden without slowing down.",
                flat_out,
                angle=_COUNTED_BEND,
            )
        )
    if height is None:
        notes.append(tr("No heights were recorded; the circuit is taken as level."))
    if moved:
        notes.append(tr("The circuit begins {moved:.0f} m after the start line, on the next straight.", moved=moved))
    circuit = Circuit(name, tuple(sections))
    return CutCircuit(circuit, tuple(apexes), along, speed, lap, moved, laps.rough, tuple(notes))


def _length(laps: Laps, lap: Lap, log: RideLog, walked: Floats) -> float:
    """Length of the lap: by satellite speed, else by the track, else by the wheel."""
    by_speed = float(np.interp(lap.end, log.time, walked) - np.interp(lap.start, log.time, walked))
    if log.gps is not None or laps.rough:
        return by_speed
    time = np.linspace(lap.start, lap.end, max(20, round(lap.time / 0.5)))
    x, y = (np.interp(time, laps.time, line) for line in (laps.x, laps.y))
    return float(np.hypot(np.diff(x), np.diff(y)).sum())


def _over_lap(time: Floats, walked: Floats, values: Floats, lap: Lap, count: int) -> Floats:
    """Values at `count` even steps of distance of a lap."""
    first, last = np.interp([lap.start, lap.end], time, walked)
    rises = np.concatenate([[True], np.diff(walked) > 1e-9])
    places = np.linspace(first, last, count, endpoint=False)
    return np.asarray(np.interp(places, walked[rises], values[rises]))


def _smooth(line: Floats, width: float) -> Floats:
    """A closed line averaged with a bell of this width (in its own steps)."""
    reach = min(math.ceil(3 * width), len(line) // 2 - 1)
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / max(width, 1e-6)) ** 2)
    wrapped = np.concatenate([line[-reach:], line, line[:reach]]) if reach else line
    return np.asarray(np.convolve(wrapped, kernel / kernel.sum(), "valid"))


def _turning(laps: Laps, lap: Lap, count: int, length: float) -> Floats | None:
    """The angle turned in each step (rad, left positive); None without positions. All turns make whole rounds."""
    if laps.rough:
        return None
    inside = (laps.time >= lap.start - 1) & (laps.time <= lap.end + 1)
    time, x, y = laps.time[inside], laps.x[inside], laps.y[inside]
    walked = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    first, last = np.interp([lap.start, lap.end], time, walked)
    places = np.linspace(first, last, count, endpoint=False)
    # A lap that ends a metre beside its start is closed bit by bit.
    share = np.linspace(0, 1, count, endpoint=False)
    lines = []
    for line in (x, y):
        ends = np.interp([first, last], walked, line)
        lines.append(
            _smooth(np.interp(places, walked, line) - share * (ends[1] - ends[0]), _SMOOTH_PATH / (length / count))
        )
    east, north = ((np.roll(line, -1) - np.roll(line, 1)) for line in lines)
    heading = np.unwrap(np.arctan2(north, east))
    turned = np.append(np.diff(heading), 0.0)
    rounds = round((heading[-1] - heading[0]) / math.tau) * math.tau
    turned[-1] = rounds - turned.sum()
    if abs(turned[-1]) > 0.5:
        turned[-1] = math.remainder(turned[-1], math.tau)
    return turned


def _owned(turning: Floats, ordered: list[tuple[str, int, int]], step: float) -> NDArray[np.intp]:
    """The section to which each step's turn is counted: that of the corner whose bend it is, else the one it lies in.

    A corner's bend is where the line bends as it does at its sharpest near the held piece; two corners in one bend
    share it where it is widest between them.
    """
    count = len(turning)
    curved = _smooth(turning, _SMOOTH_BEND / step) / step
    bends = np.where(np.abs(curved) > 1 / _WIDEST, np.sign(curved), 0.0)
    owner = np.empty(count, np.intp)
    for number, (_, first, cells) in enumerate(ordered):
        owner[(first + np.arange(cells)) % count] = number
    near = round(_BEND_NEAR / step)
    sharpest = []
    for number, (kind, first, cells) in enumerate(ordered):
        if kind == "corner":
            about = np.arange(first - near, first + cells + near)
            sharpest.append((number, int(about[np.argmax(np.abs(curved[about % count]))])))
    for k, (number, at) in enumerate(sharpest):
        for way in (-1, 1):
            beside = sharpest[(k + way) % len(sharpest)][1]
            room = (beside - at) * way % count or count
            ahead = (at + way * np.arange(room)) % count
            other = np.flatnonzero(bends[ahead] != bends[at % count])
            # The same bend up to the next corner: each has its side of where it is widest.
            end = int(other[0]) if len(other) else int(np.argmin(np.abs(curved[ahead])))
            owner[ahead[:end]] = number
    return owner


def _heights(log: RideLog, laps: Laps, walked: Floats, count: int, length: float) -> Floats | None:
    """The height along the lap, the mean of all whole laps, closed and smoothed; None if none was recorded."""
    if log.altitude is None:
        return None
    known = np.isfinite(log.altitude)
    if np.count_nonzero(known) < 20:
        return None
    altitude = np.interp(log.time, log.time[known], log.altitude[known])
    lines = []
    for lap in laps.whole or laps.laps:
        line = _over_lap(log.time, walked, altitude, lap, count)
        share = np.linspace(0, 1, count, endpoint=False)
        last = float(np.interp(lap.end, log.time, altitude))
        lines.append(line - share * (last - line[0]))
    return _smooth(np.mean([line - line.mean() for line in lines], 0), _SMOOTH_HEIGHT / (length / count))


def _rise(height: Floats, first: int, cells: int, count: int) -> float:
    return float(height[(first + cells) % count] - height[first % count])


def _corners(speed: Floats) -> list[tuple[int, int]]:
    """(first, cells) of each corner on the closed lap: marked lowest speeds and how far they are held."""
    count = len(speed)
    start = int(np.argmax(speed))
    line = np.roll(speed, -start)
    found: list[tuple[int, int]] = []
    last_peak, lowest, at = float(line[0]), float(line[0]), 0
    falling = True
    # A lowest counts once the speed has risen enough after it and had fallen enough before it.
    for i, value in enumerate([*line.tolist(), float(line[0])]):
        if falling:
            if value < lowest:
                lowest, at = value, i
            marked = max(_MARKED, _MARKED_SHARE * lowest)
            if value > lowest + marked and last_peak > lowest + marked:
                found.append((at, 1))
                falling, last_peak = False, value
            elif value > last_peak:
                last_peak, lowest, at = value, value, i
        elif value > last_peak:
            last_peak = value
        elif value < last_peak - max(_MARKED, _MARKED_SHARE * value):
            falling, lowest, at = True, value, i
    held = []
    for at, _ in found:
        bound = float(line[at]) * (1 + _HELD)
        first = last = at
        while first > 0 and line[first - 1] <= bound:
            first -= 1
        while last < count - 1 and line[last + 1] <= bound:
            last += 1
        held.append(((first + start) % count, last - first + 1))
    return held


def _apex_speed(speed: Floats) -> float:
    """The speed that a corner is held at: at which it takes as long as it was ridden."""
    return len(speed) / float(np.sum(1 / np.maximum(speed, 0.5)))


def _from_a_straight(held: list[tuple[int, int]], count: int, step: float) -> tuple[list[tuple[str, int, int]], float]:
    """Corners and the straights between them from the start on; and how far the start moved to lie on a straight."""
    ordered = sorted(held)
    first_at, cells = ordered[-1]
    over = first_at + cells - count
    moved = max(over, 0)
    sections: list[tuple[str, int, int]] = []
    at = moved
    for first, length in ordered:
        gap = first - at
        if gap * step >= _SHORTEST_STRAIGHT or (gap > 0 and not sections):
            sections.append(("straight", at, gap))
        elif gap > 0 and sections:
            kind, begun, before = sections[-1]
            sections[-1] = (kind, begun, before + gap)
        sections.append(("corner", first, length))
        at = first + length
    left = count + moved - at
    if left > 0:
        sections.append(("straight", at, left))
    return sections, moved * step
