"""Points of a line from CSV text: x and y in metres, or longitude and latitude, and widths, in columns so headed."""

from __future__ import annotations

import re

import numpy as np

from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.language import tr
from gearplan.plan.lines.points import Floats, LineError, Points, from_degrees, look_like_degrees

#: What the columns are headed, up to the unit, in any case.
_HEADS = {
    "x": "x",
    "y": "y",
    "lon": "longitude",
    "long": "longitude",
    "lng": "longitude",
    "longitude": "longitude",
    "lat": "latitude",
    "latitude": "latitude",
}


def points_from_csv(text: str) -> Points:
    """The points of CSV text; without headings its first two columns are x and y. LineError names the row."""
    lines = [(n, line) for n, line in enumerate(text.splitlines(), 1) if line.strip()]
    remarks = [line for _, line in lines if line.lstrip().startswith("#")]
    rows = [(n, line) for n, line in lines if not line.lstrip().startswith("#")]
    if not rows:
        raise LineError(tr("there are no points; give columns x and y in metres, one point a line"))
    mark = next((m for m in (";", "\t", ",") if m in rows[-1][1]), None)
    heads: dict[str, int] = {}
    if not _numeric(rows[0][1], mark):
        heads = _named(rows[0][1], mark)
        rows = rows[1:]
    elif remarks:
        heads = _named(remarks[-1].lstrip("# "), mark)
    degrees = "longitude" in heads and "latitude" in heads
    if degrees:
        columns = [heads["longitude"], heads["latitude"]]
    else:
        columns = [heads["x"], heads["y"]] if "x" in heads and "y" in heads else [0, 1]
    sides = [side for side in ("left", "right", "width") if side in heads]
    if not rows:
        raise LineError(tr("there is a heading but no point below it"))
    values = _values(rows, mark, [*columns, *(heads[side] for side in sides)])
    x, y = values[:, 0], values[:, 1]
    if degrees:
        x, y = from_degrees(x, y)
    elif look_like_degrees(x, y):
        raise LineError(
            tr("the points look like degrees: head the columns longitude and latitude, or give x and y in metres")
        )
    widths = {side: values[:, 2 + k] for k, side in enumerate(sides)}
    for side, width in widths.items():
        if float(width.min()) < 0 or float(width.max()) > 100:
            worst = np.argmax(np.abs(width))
            raise LineError(
                tr("a {side} of {width:g} m is no width of a track", side=tr(side), width=float(width[worst]))
            )
    left, right = widths.get("left"), widths.get("right")
    if left is None or right is None:
        left = right = None if "width" not in widths else widths["width"] / 2
    return Points(x, y, left, right)


def _values(rows: list[tuple[int, str]], mark: str | None, columns: list[int]) -> Floats:
    try:
        values = np.loadtxt([line for _, line in rows], delimiter=mark, usecols=columns, ndmin=2, comments=None)
    except ValueError:
        values = np.array([_row(n, line, mark, columns) for n, line in rows])
    if not np.isfinite(values).all():
        bad = int(np.nonzero(~np.isfinite(values).all(axis=1))[0][0])
        raise LineError(tr("line {rows}: not a number to compute with; give x and y in metres", rows=rows[bad][0]))
    return values


def _cells(line: str, mark: str | None) -> list[str]:
    return [cell.strip().strip('"') for cell in (line.split(mark) if mark else line.split())]


def _numeric(line: str, mark: str | None) -> bool:
    try:
        parse_number(_cells(line, mark)[0])
    except NumberTextError:
        return False
    return True


def _named(head: str, mark: str | None) -> dict[str, int]:
    """The columns by what they hold; what is headed otherwise is left aside."""
    found: dict[str, int] = {}
    for column, cell in enumerate(_cells(head, mark)):
        words = [word for word in re.split(r"[^a-z]+", cell.lower()) if word]
        if not words:
            continue
        if words[0] in _HEADS:
            found.setdefault(_HEADS[words[0]], column)
        elif words[0] in ("w", "width"):
            side = next((word for word in words if word in ("left", "right")), "width")
            found.setdefault(side, column)
    return found


def _row(number: int, line: str, mark: str | None, columns: list[int]) -> list[float]:
    cells = _cells(line, mark)
    if len(cells) <= max(columns):
        if len(columns) == 2:
            raise LineError(
                tr("line {number}: {cells} value where x and y are needed", number=number, cells=len(cells))
            )
        raise LineError(
            tr(
                "line {number}: {cells} value where {columns} are needed",
                number=number,
                cells=len(cells),
                columns=max(columns) + 1,
            )
        )
    try:
        return [parse_number(cells[column]) for column in columns]
    except NumberTextError as error:
        raise LineError(tr("line {number}: {error}; give x and y in metres", number=number, error=error)) from error
