"""Points of a line from XML: the track or route of a GPX file (GPX 1.1), the way or ways of an OpenStreetMap file.

A file that declares a document type is refused, so that no entities can be blown up.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

import numpy as np

from gearplan.bike.text.written import counted
from gearplan.language import tr
from gearplan.plan.lines.geojson import half_width
from gearplan.plan.lines.points import LineError, Points, from_degrees


def points_from_gpx(text: str) -> Points:
    """The longest track of a GPX file, else its longest route."""
    root = _root(text, "GPX")
    for line, point in (("trk", "trkpt"), ("rte", "rtept")):
        lines = [each for each in root.iter() if _tag(each) == line]
        found = [[p for p in each.iter() if _tag(p) == point] for each in lines]
        found = [points for points in found if len(points) > 1]
        if not found:
            continue
        longest = max(found, key=len)
        name = next((c.text or "" for c in lines[0] if _tag(c) == "name"), "") if len(lines) == 1 else ""
        made = replace(_placed(longest), name=name.strip(), ride=line == "trk")
        if len(found) > 1:
            made = replace(
                made,
                notes=(
                    tr("{counted} in the file: the longest was taken.", counted=counted(len(found), "line", "lines")),
                ),
            )
        return made
    raise LineError(tr("there is no track or route with two points in this GPX file"))


def points_from_osm(text: str) -> Points:
    """The closed way of an OpenStreetMap file, else the longest chain of its ways; race tracks before other ways."""
    root = _root(text, "OpenStreetMap")
    nodes = {str(node.get("id")): node for node in root if _tag(node) == "node"}
    ways = [_Way(element) for element in root if _tag(element) == "way"]
    ways = [way for way in ways if len(way.refs) > 1 and not way.is_pit_lane]
    if tracks := [way for way in ways if way.is_track]:
        ways = tracks
    if not ways:
        raise LineError(tr("there is no way with two points in this file"))
    lost = next((ref for way in ways for ref in way.refs if ref not in nodes), None)
    if lost is not None:
        raise LineError(
            tr(
                "node {lost} of a way is not in the file; save the way with its nodes",
                lost=lost[:20] or tr("without a name"),
            )
        )
    chains = [([way], way.refs) for way in ways if way.refs[0] == way.refs[-1]]
    chains = chains or list(_chains(ways))
    lines = [_placed([nodes[ref] for ref in refs]) for _, refs in chains]
    longest = int(np.argmax([np.hypot(np.diff(p.x), np.diff(p.y)).sum() for p in lines]))
    used, points = chains[longest][0], lines[longest]
    notes = []
    if len(used) > 1:
        notes.append(tr("The line was joined from {counted}.", counted=counted(len(used), "way", "ways")))
    if len(chains) > 1:
        notes.append(tr("{counted} in the file: the longest was taken.", counted=counted(len(chains), "line", "lines")))
    widths = {way.tags.get("width", "") for way in used}
    half = half_width(widths.pop(), len(points.x)) if len(widths) == 1 else None
    name = next((way.tags["name"] for way in used if way.tags.get("name")), "")
    return replace(points, left=half, right=half, name=name, notes=tuple(notes))


class _Way:
    def __init__(self, element: Element) -> None:
        self.refs = [str(child.get("ref")) for child in element if _tag(child) == "nd"]
        self.tags = {str(c.get("k")): str(c.get("v")) for c in element if _tag(c) == "tag"}

    @property
    def is_track(self) -> bool:
        return self.tags.get("highway") == "raceway" or self.tags.get("leisure") == "track"

    @property
    def is_pit_lane(self) -> bool:
        return any("pit" in value.lower().replace("-", "_").split("_") for value in self.tags.values())


def _chains(ways: list[_Way]) -> Iterable[tuple[list[_Way], list[str]]]:
    """Ways joined where one ends and another begins, each used once; turned round only where nothing else goes on."""
    free = list(ways)
    while free:
        first = free.pop(0)
        used, refs = [first], list(first.refs)
        while refs[0] != refs[-1]:
            onward = next((way for way in free if way.refs[0] == refs[-1]), None)
            if onward is not None:
                refs += onward.refs[1:]
            elif (onward := next((way for way in free if way.refs[-1] == refs[0]), None)) is not None:
                refs = onward.refs[:-1] + refs
            elif (onward := next((way for way in free if way.refs[-1] == refs[-1]), None)) is not None:
                refs += onward.refs[-2::-1]
            else:
                break
            free.remove(onward)
            used.append(onward)
        yield used, refs


def _root(text: str, what: str) -> Element:
    start = text[:4096].upper()
    if "<!DOCTYPE" in start or "<!ENTITY" in start:
        raise LineError(tr("the file declares a document type, which {what} has not; it is not read", what=what))
    try:
        return ElementTree.fromstring(text)
    except (ElementTree.ParseError, ValueError) as failed:
        row = (
            tr(": row {position} is broken XML", position=failed.position[0])
            if isinstance(failed, ElementTree.ParseError)
            else ""
        )
        raise LineError(tr("this is not a whole {what} file{row}", what=what, row=row)) from failed


def _tag(element: Element) -> str:
    return element.tag.rpartition("}")[2]


def _placed(elements: list[Element]) -> Points:
    try:
        places = np.array([[float(e.get("lon", "")), float(e.get("lat", ""))] for e in elements])
    except ValueError as error:
        raise LineError(tr("a point has no longitude or latitude")) from error
    if not np.isfinite(places).all():
        raise LineError(tr("a point has no longitude or latitude"))
    return Points(*from_degrees(*places.T))
