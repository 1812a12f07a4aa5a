"""Laps of a recorded ride: where the start line is crossed or, without positions, where the speed repeats. SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import median

import numpy as np

from gearplan.language import tr
from gearplan.ridelog.laps.repeats import ALIKE_FROM, REPEATED_FROM, alike, repeated
from gearplan.ridelog.log import Floats, LogError, RideLog
from gearplan.ridelog.places import local_metres

_HALF_WIDTH = 20.0
_SHORTEST_TIME, _SHORTEST = 12.0, 200.0
#: Points of the ride that are tried as the start line.
_TRIES = 80
_FASTEST = 160.0
#: Laps whose length differs more from the usual one are not whole; nor are those with such a gap (s).
_LENGTH_WITHIN, _LAP_GAP = 0.04, 3.0
#: A heading at the line is taken over this long (s).
_HEADING_OVER = 0.5
_GRID = 5.0
#: A lap has at least so many steps of the grid.
_LEAST_PERIOD = 8
_LONGEST_LAP = 25_000.0


@dataclass(frozen=True, slots=True)
class StartLine:
    """A line across the track at a place (degrees), square to the heading (rad, from east, counter-clockwise)."""

    latitude: float
    longitude: float
    heading: float
    half_width: float = _HALF_WIDTH


@dataclass(frozen=True, slots=True)
class Lap:
    """One lap: when it began and ended (s of the log), its length (m), and whether it is a whole, ordinary one.

    `repeated` is how far it is ridden again, or how alike its speeds are to another's: see `repeats`.
    """

    number: int
    start: float
    end: float
    length: float
    whole: bool
    repeated: float = 1.0

    @property
    def time(self) -> float:
        """Lap time (s)."""
        return self.end - self.start


@dataclass(frozen=True, slots=True, eq=False)
class Laps:
    """The laps of a ride, cut at `line` or, where that is None, by the pattern of the speed, which is rougher.

    `time`, `x`, `y` are the track in metres about its middle (empty without positions).
    """

    laps: tuple[Lap, ...]
    line: StartLine | None
    time: Floats
    x: Floats
    y: Floats

    @property
    def rough(self) -> bool:
        """Whether the laps were told without positions."""
        return self.line is None

    @property
    def repeated_from(self) -> float:
        """From which measure of its repetition on a lap is one."""
        return ALIKE_FROM if self.rough else REPEATED_FROM

    @property
    def whole(self) -> tuple[Lap, ...]:
        """The whole laps."""
        return tuple(lap for lap in self.laps if lap.whole)

    @property
    def best(self) -> Lap | None:
        """The fastest whole lap."""
        return min(self.whole, key=lambda lap: lap.time, default=None)

    @property
    def median(self) -> Lap | None:
        """The whole lap in the middle of the lap times."""
        if not self.whole:
            return None
        middle = median(lap.time for lap in self.whole)
        return min(self.whole, key=lambda lap: (abs(lap.time - middle), lap.time))


def find_laps(log: RideLog, line: StartLine | None = None) -> Laps:
    """Cut a ride into laps, at the given line or at one that is found; LogError in one line if it has none."""
    if not log.timed:
        raise LogError(tr("The log has no time, so there are no lap times."))
    if not log.placed:
        return _by_pattern(log)
    time, x, y, about = track(log)
    walked = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))])
    if walked[-1] > _FASTEST * (time[-1] - time[0]):
        raise LogError(tr("The positions jump about so much that they are no ride; no laps can be told from them."))
    if line is None:
        found = _found_line(time, x, y, walked)
        if found is None:
            raise LogError(tr("The ride never passes the same place twice in the same direction: it has no laps."))
        at_x, at_y, heading = found
        line = _line_at(at_x, at_y, heading, about)
    else:
        at, up = local_metres(np.array([line.latitude]), np.array([line.longitude]), about)
        at_x, at_y = float(at[0]), float(up[0])
    crossings = _crossings(time, x, y, at_x, at_y, line.heading, line.half_width)
    if len(crossings) < 2:
        raise LogError(tr("The start line is not crossed twice in its direction; choose another place for it."))
    passed = np.interp(crossings, time, walked)
    again = repeated(x, y, walked, passed[:-1], passed[1:])
    lengths = np.diff(passed)
    if log.gps is not None:
        # What positions scatter makes a way longer; the satellites' own speed does not.
        lengths = np.diff(np.interp(crossings, log.time, distance(log)[1]))
    return Laps(_laps(crossings, lengths, time, again, REPEATED_FROM), line, time, x, y)


def track(log: RideLog) -> tuple[Floats, Floats, Floats, tuple[float, float]]:
    """Times and metres (east, north) of the positions about their middle, which is given in degrees last.

    A position that is held over several rows counts once; places without a fix and jumps are left out.
    """
    assert log.latitude is not None
    assert log.longitude is not None
    latitude, longitude = log.latitude, log.longitude
    good = np.isfinite(latitude) & np.isfinite(longitude) & (np.abs(latitude) <= 90) & (np.abs(longitude) <= 180)
    good &= (np.abs(latitude) > 1e-6) | (np.abs(longitude) > 1e-6)
    rows = np.flatnonzero(good)
    if len(rows) > 1:
        moved = (np.diff(latitude[rows]) != 0) | (np.diff(longitude[rows]) != 0)
        rows = rows[np.concatenate([[True], moved])]
    if len(rows) < 20:
        raise LogError(tr("The log has too few positions to tell laps."))
    about = (float(np.median(latitude[rows])), float(np.median(longitude[rows])))
    x, y = local_metres(latitude[rows], longitude[rows], about)
    time = log.time[rows]
    with np.errstate(over="ignore"):
        # Rows of one moment are farther apart than any speed brings them.
        pace = np.hypot(np.diff(x), np.diff(y)) / np.diff(time)
    jump = np.concatenate([[False], (pace[:-1] > _FASTEST) & (pace[1:] > _FASTEST), [False]])
    keep = ~jump
    return time[keep], x[keep], y[keep], about


def _line_at(x: float, y: float, heading: float, about: tuple[float, float]) -> StartLine:
    # One degree each way gives the scale; the map is flat to a millimetre here.
    east, _ = local_metres(np.array([about[0]]), np.array([about[1] + 1e-3]), about)
    _, north = local_metres(np.array([about[0] + 1e-3]), np.array([about[1]]), about)
    return StartLine(about[0] + y / float(north[0]) * 1e-3, about[1] + x / float(east[0]) * 1e-3, heading)


def _found_line(time: Floats, x: Floats, y: Floats, walked: Floats) -> tuple[float, float, float] | None:
    """The place and heading that are passed most often, at the highest speed of those."""
    if walked[-1] < 2 * _SHORTEST:
        return None
    # Points a few metres apart are enough to look for crossings.
    thin = np.unique(np.searchsorted(walked, np.arange(0, walked[-1], 4.0)))
    t, e, n = time[thin], x[thin], y[thin]
    if len(t) < 20:
        return None
    pace = np.gradient(walked[thin], t)
    places = np.unique(np.linspace(3, len(t) - 4, _TRIES).astype(int))
    # The fastest place of each stretch, so that the line comes to lie on a straight.
    reach = max(1, len(t) // _TRIES // 2)
    places = np.unique([at - reach + int(np.argmax(pace[max(at - reach, 0) : at + reach + 1])) for at in places])
    places = np.clip(places, 3, len(t) - 4)
    best: tuple[int, float, tuple[float, float, float]] | None = None
    for at in places.tolist():
        heading = math.atan2(float(n[at + 2] - n[at - 2]), float(e[at + 2] - e[at - 2]))
        passed = _crossings(t, e, n, float(e[at]), float(n[at]), heading, _HALF_WIDTH, fine=False)
        score = (len(passed), float(np.median(np.interp(passed, t, pace))) if len(passed) else 0.0)
        if len(passed) >= 2 and (best is None or score > best[:2]):
            best = (*score, (float(e[at]), float(n[at]), heading))
    return None if best is None else best[2]


def _crossings(
    time: Floats, x: Floats, y: Floats, at_x: float, at_y: float, heading: float, half: float, *, fine: bool = True
) -> Floats:
    """Times at which the line is crossed in its direction, between the rows; `fine` fits the rows about each."""
    along = (x - at_x) * math.cos(heading) + (y - at_y) * math.sin(heading)
    aside = -(x - at_x) * math.sin(heading) + (y - at_y) * math.cos(heading)
    step = np.diff(along)
    over = (along[:-1] < 0) & (along[1:] >= 0) & (np.abs(aside[:-1]) < half) & (np.diff(time) < 3.0)
    # In the line's direction, not slantwise: over so long that the scatter of the places does not matter.
    reach = max(0, round(_HEADING_OVER / max(float(np.median(np.diff(time))), 1e-3) / 2))
    here = np.arange(len(step))
    first, last = np.maximum(here - reach, 0), np.minimum(here + 1 + reach, len(step))
    over &= along[last] - along[first] > 0.7 * np.hypot(along[last] - along[first], aside[last] - aside[first])
    found: list[float] = []
    for i in np.flatnonzero(over).tolist():
        share = -along[i] / step[i]
        at = float(time[i] + share * (time[i + 1] - time[i]))
        if fine:
            low, high = np.searchsorted(time, [at - 0.3, at + 0.3])
            if high - low >= 4:
                slope, constant = np.polyfit(time[low:high] - at, along[low:high], 1)
                at += float(np.clip(-constant / slope, -0.3, 0.3)) if slope > 0 else 0.0
        if not found or at - found[-1] > _SHORTEST_TIME:
            found.append(at)
    return np.array(found)


def _laps(crossings: Floats, lengths: Floats, time: Floats, again: list[float], enough: float) -> tuple[Lap, ...]:
    real = lengths[np.array(again) >= enough]
    usual = float(np.median(real if len(real) else lengths))
    pauses = np.flatnonzero(np.diff(time) > _LAP_GAP)
    found = []
    pairs = zip(crossings[:-1].tolist(), crossings[1:].tolist(), lengths.tolist(), again, strict=True)
    for number, (start, end, length, share) in enumerate(pairs, 1):
        broken = bool(((time[pauses] >= start) & (time[pauses] < end)).any())
        fits = length > 0 and abs(length - usual) <= _LENGTH_WITHIN * usual
        found.append(Lap(number, start, end, length, fits and not broken and share >= enough, share))
    return tuple(found)


def distance(log: RideLog) -> tuple[Floats, Floats]:
    """Speed at every row, drop-outs bridged, and the distance that it adds up to (m); LogError without a speed."""
    speed = log.gps if log.gps is not None else log.road
    if speed is None or not np.isfinite(speed).any():
        raise LogError(tr("The log has neither positions nor a speed, so there are no laps."))
    known = np.isfinite(speed)
    filled = np.interp(log.time, log.time[known], speed[known])
    steps = np.diff(log.time) * (filled[1:] + filled[:-1]) / 2
    return filled, np.concatenate([[0.0], np.cumsum(steps)])


def _by_pattern(log: RideLog) -> Laps:
    """Laps by the speed along the distance: its period, and for each lap the place where the pattern fits best."""
    speed, walked = distance(log)
    total = float(walked[-1])
    nothing = tr("The speed shows no pattern that repeats itself: the ride has no laps, or is too short to tell them.")
    if total < 3 * _SHORTEST:
        raise LogError(nothing)
    grid = np.arange(0, total, max(_GRID, total / 40_000))
    step = float(grid[1] - grid[0])
    rises = np.concatenate([[True], np.diff(walked) > 1e-9])
    v = np.interp(grid, walked[rises], speed[rises])
    likeness = _self_likeness(v)
    low, high = int(_SHORTEST / step), min(int(_LONGEST_LAP / step), int(0.6 * len(v)))
    # Where the grid is so coarse that a lap is a few of its steps, no pattern can be seen in them.
    if high - low < 4 or low < _LEAST_PERIOD:
        raise LogError(nothing)
    inside = likeness[low:high]
    peaks = np.flatnonzero((inside[1:-1] >= inside[:-2]) & (inside[1:-1] > inside[2:])) + 1
    peaks = peaks[inside[peaks] > max(0.5, 0.85 * float(inside[peaks].max()))] if len(peaks) else peaks
    if not len(peaks):
        raise LogError(nothing)
    period = low + int(peaks[0])
    starts = _fitted_starts(v, period)
    if len(starts) < 2:
        raise LogError(nothing)
    passed = grid[0] + starts * step
    crossings = np.interp(passed, walked[rises], log.time[rises])
    empty = np.zeros(0)
    again = alike(v, starts)
    return Laps(_laps(crossings, np.diff(passed), log.time, again, ALIKE_FROM), None, empty, empty, empty)


def _self_likeness(v: Floats) -> Floats:
    """Correlation of a line with itself shifted, for every shift, over what overlaps."""
    about = v - v.mean()
    size = 1 << (2 * len(v) - 1).bit_length()
    spectrum = np.fft.rfft(about, size)
    raw = np.fft.irfft(spectrum * np.conj(spectrum), size)[: len(v)]
    power = np.cumsum(about**2)
    overlap_head = power[::-1]
    overlap_tail = power[-1] - np.concatenate([[0.0], power[:-1]])
    return np.asarray(raw / np.sqrt(np.maximum(overlap_head * overlap_tail, 1e-9)))


def _fitted_starts(v: Floats, period: int) -> Floats:
    """Where each lap starts (in steps of the grid, fractions too): at the most telling stretch of the pattern."""
    width = max(8, min(period // 3, 120))
    # Less than half a period: each lap found lies beyond the one before.
    reach = min(max(3, min(period // 12, 40)), (period - 1) // 2)
    middle = len(v) // 2
    # The stretch of one lap in the middle of the ride where the speed changes most.
    first = max(0, min(middle - period // 2, len(v) - period - width))
    begins = range(first, min(first + period, len(v) - width), max(1, width // 8))
    at = max(begins, key=lambda i: float(np.std(v[i : i + width])), default=first)
    pattern = v[at : at + width] - v[at : at + width].mean()
    found = [float(at)]
    for way in (-1, 1):
        here = float(at)
        while True:
            around = round(here + way * period)
            if around - reach < 0 or around + reach + width >= len(v):
                break
            windows = np.lib.stride_tricks.sliding_window_view(v[around - reach : around + reach + width], width)
            centred = windows - windows.mean(1, keepdims=True)
            scale = np.sqrt((centred**2).sum(1) * float(np.dot(pattern, pattern)))
            fits = centred @ pattern / np.maximum(scale, 1e-9)
            best = int(np.argmax(fits))
            if fits[best] < 0.75:
                break
            shift = float(best)
            if 0 < best < len(fits) - 1:
                before, peak, after = fits[best - 1 : best + 2].tolist()
                bend = before - 2 * peak + after
                shift += 0.5 * (before - after) / bend if bend else 0.0
            here = around - reach + shift
            found.append(here)
    return np.sort(np.array(found))


def line_at(log: RideLog, time: float) -> StartLine:
    """The start line across the track where it was at a time; LogError where it stands still or has no place."""
    if not log.placed:
        raise LogError(tr("The log has no positions."))
    assert log.latitude is not None
    assert log.longitude is not None
    times, x, y, _ = track(log)
    at = int(np.clip(np.searchsorted(times, time), 2, len(times) - 3))
    east, north = float(x[at + 2] - x[at - 2]), float(y[at + 2] - y[at - 2])
    if math.hypot(east, north) < 0.5:
        raise LogError(tr("The motorcycle stands still there; choose a place where it rides."))
    row = int(np.argmin(np.abs(log.time - times[at])))
    return StartLine(float(log.latitude[row]), float(log.longitude[row]), math.atan2(north, east))
