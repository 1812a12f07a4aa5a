"""A circuit from the centre line of a track: a CSV file of points x, y in metres, optional widths left aside.

The line is closed and resampled at even steps; its curvature, the change of heading per metre, is smoothed by a
Gaussian, which keeps the sum of all turns and the length. Corners are where the curvature stays near its peak; between
them lie straights, which keep what little they turn for the map. Costs the points; 500,000 take about a second.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.circuit import MOST_SECTIONS, Circuit, Section
from gearplan.bike.files.circuitfile import CircuitFile, read_circuit
from gearplan.bike.numbertext import NumberTextError, parse_number
from gearplan.bike.units import DEGREE

Floats = NDArray[np.float64]

_MOST_BYTES = 64_000_000
_SHORTEST, _LONGEST = 100.0, 50_000.0
_MOST_STEPS = 20_000
#: Wider arcs than this are no corner, nor is what turns less (from memory: such bends are ridden flat out).
_WIDEST, _LEAST_TURN = 400.0, 7 * DEGREE
_CORE = 0.55
_CROSSING_POINTS, _OVERLAP = 900, 40.0


class CentreLineError(ValueError):
    """Points that make no circuit; the message is one line that says what would be right."""


@dataclass(frozen=True, eq=False)
class CentreLine:
    """The closed line at even steps (m), its smoothed curvature (1/m, left positive), and the circuit made of it.

    `notes` say what was put right or is doubtful.
    """

    x: Floats
    y: Floats
    distance: Floats
    curvature: Floats
    circuit: Circuit
    notes: tuple[str, ...]


def read_centre_line(path: Path) -> CentreLine:
    """The circuit of a CSV file; CentreLineError if it cannot be read as one."""
    try:
        if path.stat().st_size > _MOST_BYTES:
            raise CentreLineError(f"{path}: larger than {_MOST_BYTES // 1_000_000} MB, which no centre line is")
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise CentreLineError(f"{path}: there is no such file") from error
    except UnicodeDecodeError as error:
        raise CentreLineError(f"{path}: not text in UTF-8; give a CSV file with columns x and y in metres") from error
    except OSError as error:
        raise CentreLineError(f"{path}: cannot be read: {error.strerror}") from error
    try:
        return centre_line_from_text(text, path.name.split(".")[0])
    except CentreLineError as error:
        raise CentreLineError(f"{path}: {error}") from error


def read_circuit_or_line(path: Path) -> CircuitFile:
    """A circuit file, or the circuit of a CSV centre line with its notes as notices.

    CircuitFileError or CentreLineError if it cannot be read.
    """
    if path.suffix.lower() != ".csv":
        return read_circuit(path)
    line = read_centre_line(path)
    return CircuitFile(line.circuit, "", line.notes)


def centre_line_from_text(text: str, name: str = "") -> CentreLine:
    """The circuit of CSV text: x and y in the columns so headed, else in the first two."""
    x, y = _points(text)
    return centre_line(x, y, name)


def centre_line(x: Floats, y: Floats, name: str = "") -> CentreLine:
    """The circuit of points (m) in driving order. CentreLineError for points that make none."""
    notes: list[str] = []
    apart = np.append(True, np.hypot(np.diff(x), np.diff(y)) > 1e-6)
    x, y = x[apart], y[apart]
    closes = len(x) > 1 and math.hypot(x[0] - x[-1], y[0] - y[-1]) < 1e-6
    if closes:
        x, y = x[:-1], y[:-1]
    if len(x) < 5:
        raise CentreLineError(f"{len(x)} different points make no circuit; give at least five, better one every 5 m")
    gap = math.hypot(x[0] - x[-1], y[0] - y[-1])
    spacing = np.hypot(np.diff(x), np.diff(y))
    length = float(spacing.sum()) + gap
    _check_units(x, y, length)
    if not closes and gap > max(0.02 * length, 3 * float(np.median(spacing))):
        notes.append(f"The line does not close: {gap:.0f} m lack between its end and its start. A straight joins them.")
    distance, x, y, step = _evenly(x, y, length)
    curvature = _curvature(x, y, step, float(np.median(spacing)))
    if _crosses(x, y, step):
        notes.append("The line crosses itself: right for a track with a bridge only.")
    sections = _sections(curvature, step)
    if not any(s.kind == "corner" for s in sections):
        notes.append("No corner was found: every bend is wider than 400 m.")
    if len(sections) > MOST_SECTIONS:
        raise CentreLineError(
            f"{len(sections)} sections were found, more than {MOST_SECTIONS}: the points scatter too much"
        )
    notes.append("Radii are those of the line given; a rider's line is wider. Put the apex speeds right.")
    return CentreLine(x, y, distance, curvature, Circuit(name, tuple(sections)), tuple(notes))


def _points(text: str) -> tuple[Floats, Floats]:
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    heads = [line for _, line in lines if line.lstrip().startswith("#")]
    rows = [(n, line) for n, line in lines if not line.lstrip().startswith("#")]
    if not rows:
        raise CentreLineError("there are no points; give columns x and y in metres, one point a line")
    mark = next((m for m in (";", "\t", ",") if m in rows[-1][1]), None)
    columns = (0, 1)
    head = None
    if not _numeric(rows[0][1], mark):
        head = rows[0][1]
        rows = rows[1:]
    elif heads and _named(heads[-1].lstrip("# "), mark):
        head = heads[-1].lstrip("# ")
    if head is not None:
        columns = _named(head, mark) or (0, 1)
    if not rows:
        raise CentreLineError("there is a heading but no point below it")
    try:
        values = np.loadtxt([line for _, line in rows], delimiter=mark, usecols=columns, ndmin=2, comments=None)
    except ValueError:
        values = np.array([_row(n, line, mark, columns) for n, line in rows])
    if not np.isfinite(values).all():
        bad = int(np.nonzero(~np.isfinite(values).all(axis=1))[0][0])
        raise CentreLineError(f"line {rows[bad][0]}: not a number to compute with; give x and y in metres")
    return values[:, 0], values[:, 1]


def _cells(line: str, mark: str | None) -> list[str]:
    return [cell.strip().strip('"') for cell in (line.split(mark) if mark else line.split())]


def _numeric(line: str, mark: str | None) -> bool:
    try:
        parse_number(_cells(line, mark)[0])
    except NumberTextError:
        return False
    return True


def _named(head: str, mark: str | None) -> tuple[int, int] | None:
    names = [re.split(r"[\s_(\[]", cell.lower())[0] for cell in _cells(head, mark)]
    return (names.index("x"), names.index("y")) if "x" in names and "y" in names else None


def _row(number: int, line: str, mark: str | None, columns: tuple[int, int]) -> tuple[float, float]:
    cells = _cells(line, mark)
    if len(cells) <= max(columns):
        raise CentreLineError(f"line {number}: {len(cells)} value where x and y are needed")
    try:
        return parse_number(cells[columns[0]]), parse_number(cells[columns[1]])
    except NumberTextError as error:
        raise CentreLineError(f"line {number}: {error}; give x and y in metres") from error


def _check_units(x: Floats, y: Floats, length: float) -> None:
    if _SHORTEST <= length <= _LONGEST:
        return
    if length < 0.2 and np.abs(x).max() <= 180 and np.abs(y).max() <= 90:
        raise CentreLineError("the points look like degrees of longitude and latitude; give x and y in metres")
    hint = ""
    if _SHORTEST <= 1000 * length <= _LONGEST:
        hint = " Are they in kilometres?"
    elif _SHORTEST <= length / 1000 <= _LONGEST:
        hint = " Are they in millimetres?"
    raise CentreLineError(
        f"the line is {length:.6g} m long; a circuit has {_SHORTEST:.0f} to {_LONGEST:.0f} m.{hint} Give metres."
    )


def _evenly(x: Floats, y: Floats, length: float) -> tuple[Floats, Floats, Floats, float]:
    """(Distance, x, y, step) of the closed line at even steps of about 2 m."""
    count = int(np.clip(round(length / 2), 60, _MOST_STEPS))
    closed = np.append(x, x[0]), np.append(y, y[0])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(closed[0]), np.diff(closed[1])))])
    distance = np.asarray(np.arange(count) * (length / count), float)
    found_x, found_y = (np.asarray(np.interp(distance, along, axis), float) for axis in closed)
    return distance, found_x, found_y, length / count


def _curvature(x: Floats, y: Floats, step: float, spacing: float) -> Floats:
    """Smoothed change of heading per metre, from each step to the next."""
    dx, dy = np.roll(x, -1) - x, np.roll(y, -1) - y
    heading = np.arctan2(dy, dx)
    turn = np.angle(np.exp(1j * (heading - np.roll(heading, 1))))
    width = float(np.clip(0.5 * spacing, 6.0, 20.0))
    waves = np.fft.rfftfreq(len(x), step)
    smooth = np.fft.irfft(np.fft.rfft(turn) * np.exp(-2 * (math.pi * waves * width) ** 2), len(x))
    return np.asarray(smooth / step)


def _crosses(x: Floats, y: Floats, step: float) -> bool:
    """Whether the closed line crosses itself, judged on at most some hundred points."""
    every = max(1, math.ceil(len(x) / _CROSSING_POINTS))
    p = np.column_stack([x[::every], y[::every]])
    # Uneven shares between neighbours: a crossing seldom lies on such a point.
    p = 0.618 * p + 0.382 * np.roll(p, -1, axis=0)
    q = np.roll(p, -1, axis=0)
    d = q - p

    def side(points: Floats) -> Floats:
        away = points[None, :, :] - p[:, None, :]
        area = d[:, None, 0] * away[..., 1] - d[:, None, 1] * away[..., 0]
        # On one straight line with a segment is on neither side of it.
        return np.where(np.abs(area) < 1e-6, 0.0, np.sign(area))

    one = side(p) * side(q) < 0
    both = one & one.T
    n = len(p)
    near = np.abs(np.arange(n)[:, None] - np.arange(n)[None, :])
    # Where the end overlaps the start by some metres is no crossing.
    least = max(1, math.ceil(_OVERLAP / (every * step)))
    return bool((both & (near > least) & (near < n - least)).any())


def _sections(curvature: Floats, step: float) -> list[Section]:
    """Corners where the curvature stays near a peak, straights between them, beginning after a corner."""
    n = len(curvature)
    taken = np.zeros(n, bool)
    corners: list[tuple[int, int]] = []
    strength = np.abs(curvature)
    for peak in np.argsort(-strength, kind="stable").tolist():
        if strength[peak] < 1 / _WIDEST or len(corners) > MOST_SECTIONS:
            break
        if taken[peak]:
            continue
        inside = (curvature * np.sign(curvature[peak]) >= _CORE * strength[peak]) & ~taken
        first = last = peak
        while inside[(first - 1) % n] and last - first < n - 1:
            first -= 1
        while inside[(last + 1) % n] and last - first < n - 1:
            last += 1
        where = np.arange(first, last + 1) % n
        taken[where] = True
        # What rises on either side of a core belongs to it: it is no corner of its own.
        for way, at in ((-1, first - 1), (1, last + 1)):
            k = at
            while not taken[k % n] and strength[k % n] <= strength[(k - way) % n]:
                taken[k % n] = True
                k += way
        if abs(float(curvature[where].sum())) * step >= _LEAST_TURN:
            corners.append((first, last + 1))
    if not corners:
        return [Section("straight", n * step, turn_deg=float(curvature.sum()) * step / DEGREE)]
    corners = sorted(((a % n, a % n + b - a) for a, b in corners), key=lambda c: c[0])
    sections: list[Section] = []
    for index, (first, after) in enumerate(corners):
        sections.append(_corner(curvature, first, after, step))
        following = corners[(index + 1) % len(corners)][0]
        until = following if index + 1 < len(corners) else following + n
        if until > after:
            between = float(curvature[np.arange(after, until) % n].sum()) * step
            sections.append(Section("straight", round((until - after) * step, 2), turn_deg=round(between / DEGREE, 2)))
    return sections


def _corner(curvature: Floats, first: int, after: int, step: float) -> Section:
    turn = float(curvature[np.arange(first, after) % len(curvature)].sum()) * step
    length = (after - first) * step
    return Section(
        "corner",
        round(length, 2),
        radius_m=round(max(length / abs(turn), 2.0), 1),
        turn_deg=round(turn / DEGREE, 2),
    )
