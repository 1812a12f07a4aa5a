"""A circuit from the points of a track: the line ridden within its width, and the sections of that. SI: m, 1/m."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from gearplan.bike.circuit import MOST_SECTIONS, Circuit, refusal
from gearplan.bike.text.written import counted, inside
from gearplan.language import tr
from gearplan.plan.lines.points import Floats, LineError, Points
from gearplan.plan.lines.racing import least_curvature, moved_aside
from gearplan.plan.lines.sections import USUAL_FINENESS, found_sections
from gearplan.plan.lines.track import Track, track
from gearplan.setup.assumed import assumptions_text, listed, track_width

#: The line keeps so far from the edges (m; common practice, no source).
EDGE = 0.5
#: A width given by hand may be so great (m); 0 keeps the line as it is.
MOST_WIDTH = 40.0


@dataclass(frozen=True, eq=False)
class CentreLine:
    """The closed track at even steps, the line ridden within it and what that turns each metre of the track (1/m).

    Distances count along the track's middle, as lengths of circuits are published. `left` and `right` are the room to
    the edges, zeros where the line is taken as it is. `notes` say what was put right, taken or is doubtful.
    """

    points: Points
    track: Track
    left: Floats
    right: Floats
    x: Floats
    y: Floats
    turning: Floats
    notes: tuple[str, ...]


def centre_line(points: Points, width: float | None = None) -> CentreLine:
    """The line of points; `width` (m) wins over the points' own and over the one assumed, 0 takes the points as ridden.

    LineError for points that make no circuit.
    """
    made = track(points)
    count = len(made.x)
    if width is None and made.left is not None and made.right is not None:
        left, right = made.left, made.right
        wide = left + right
        told = tr("The track is {wide:.0f} to {wide2:.0f} m wide by the file", wide=wide.min(), wide2=wide.max())
    else:
        known = track_width() if width is None else None
        left = right = np.full(count, (known.value if known is not None else width or 0.0) / 2)
        told = (
            tr("Assumed: {assumptions_text}", assumptions_text=assumptions_text(listed(known)))
            if known is not None
            else tr("The track is taken as {width:g} m wide", width=width)
        )
    if width == 0:
        x, y = made.x, made.y
        told = tr("The line is taken as it is ridden: radii are those of the line.")
    else:
        x, y = moved_aside(
            made.x,
            made.y,
            least_curvature(made.x, made.y, np.maximum(left - EDGE, 0.0), np.maximum(right - EDGE, 0.0)),
        )
        told += (
            f". Radii are those of the line that bends least within {EDGE:g} m of the edges; a rider's own differs. "
            "Give your lap time, or put the apex speeds right."
        )
    return CentreLine(points, made, left, right, x, y, _turning(x, y, made.step), (*made.notes, told))


def circuit_of(line: CentreLine, fineness: float = USUAL_FINENESS, name: str = "") -> Circuit:
    """The circuit of a line, coarser (0) or finer (1); named as said, else as the file names it.

    LineError for a line with more turns than a circuit has.
    """
    sections, _ = found_sections(line.turning, line.track.step, fineness)
    made = Circuit(name or line.track.name, sections)
    if len(sections) > MOST_SECTIONS:
        raise LineError(
            tr(
                "{sections} sections were found, more than {most_sections}: the points scatter too much",
                sections=len(sections),
                most_sections=MOST_SECTIONS,
            )
        )
    if text := refusal(made):
        raise LineError(tr("the points scatter too much to tell turns: {why}", why=inside(text).rstrip(".")))
    return made


def said_of(circuit: Circuit) -> str:
    """How many turns and straights, in words."""
    if not circuit.corners:
        return tr("No turn was found: every bend is too wide or turns too little.")
    return ", ".join(
        (counted(len(circuit.corners), "turn", "turns"), counted(len(circuit.straights), "straight", "straights"))
    )


def _turning(x: Floats, y: Floats, step: float) -> Floats:
    dx, dy = np.roll(x, -1) - x, np.roll(y, -1) - y
    heading = np.arctan2(dy, dx)
    return np.asarray(np.angle(np.exp(1j * (heading - np.roll(heading, 1)))) / step)
