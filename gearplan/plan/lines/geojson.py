"""Points of a line from GeoJSON (RFC 7946): the longest line or outer ring in it, longitude and latitude in degrees."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import numpy as np

from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.bike.text.written import counted
from gearplan.language import tr
from gearplan.plan.lines.points import LineError, Points, from_degrees, look_like_degrees

_WRONG = tr("give a LineString or a Polygon with longitude and latitude")


def points_from_geojson(text: str) -> Points:
    """The longest line of GeoJSON text. LineError if there is none."""
    try:
        read = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise LineError(tr("this is not whole GeoJSON; {wrong}", wrong=_WRONG)) from error
    lines = list(_lines(read, {}))
    if not lines:
        raise LineError(tr("there is no line in this GeoJSON; {wrong}", wrong=_WRONG))
    made = [(_made(coordinates), given) for coordinates, given in lines]
    sizes = [float(np.hypot(np.diff(p.x), np.diff(p.y)).sum()) for p, _ in made]
    points, given = made[int(np.argmax(sizes))]
    notes = list(points.notes)
    if len(made) > 1:
        notes.insert(
            0, tr("{counted} in the file: the longest was taken.", counted=counted(len(made), "line", "lines"))
        )
    name = next((str(given[key]) for key in ("name", tr("Name")) if given.get(key)), "")
    half = half_width(given.get("width"), len(points.x))
    return Points(points.x, points.y, half, half, name, tuple(notes))


def half_width(said: object, count: int) -> Any:
    """Half of a width in metres, such as "12" or "12 m", at each of so many points; None where none is told."""
    try:
        width = parse_number(str(said).removesuffix("m").strip())
    except NumberTextError:
        return None
    return np.full(count, width / 2) if 2 <= width <= 100 else None


def _lines(thing: Any, given: dict[str, Any]) -> Iterator[tuple[Any, dict[str, Any]]]:
    """(Coordinates, properties) of each line and outer ring."""
    if not isinstance(thing, dict):
        return
    kind, coordinates = thing.get("type"), thing.get("coordinates")
    if kind == "Feature":
        own = thing.get("properties")
        yield from _lines(thing.get("geometry"), own if isinstance(own, dict) else {})
    elif kind in ("FeatureCollection", "GeometryCollection"):
        inside = thing.get("features" if kind == "FeatureCollection" else "geometries")
        for one in inside if isinstance(inside, list) else ():
            yield from _lines(one, given)
    elif not isinstance(coordinates, list):
        return
    elif kind == "LineString":
        yield coordinates, given
    elif kind in ("MultiLineString", "Polygon"):
        yield from ((line, given) for line in (coordinates[:1] if kind == "Polygon" else coordinates))
    elif kind == "MultiPolygon":
        yield from ((rings[0], given) for rings in coordinates if isinstance(rings, list) and rings)


def _made(coordinates: Any) -> Points:
    try:
        pairs = np.array([[point[0], point[1]] for point in coordinates], float).reshape(-1, 2)
    except (TypeError, ValueError, IndexError, KeyError, OverflowError) as error:
        raise LineError(tr("a point of the line has no two numbers; {wrong}", wrong=_WRONG)) from error
    if not np.isfinite(pairs).all():
        raise LineError(tr("a point of the line has no two numbers; {wrong}", wrong=_WRONG))
    if len(pairs) < 2:
        raise LineError(tr("the line has fewer than two points"))
    x, y = pairs.T
    if look_like_degrees(x, y):
        return Points(*from_degrees(x, y))
    if float(np.abs(x).max()) <= 180 and float(np.abs(y).max()) <= 90:
        # As degrees it would be longer than any circuit.
        return Points(x, y, notes=(tr("The points were read as metres: as degrees they lie too far apart."),))
    return Points(x, y, notes=(tr("The points were read as metres: they are no degrees."),))
