"""What stands on the session sheet: the fields of the season's book, to be filled in by hand."""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.bike.book import TRACKS, book_entry
from gearplan.bike.profile import Bike
from gearplan.bike.text.written import gear
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.words import chain_name, teeth
from gearplan.setup.ratios import gearbox
from gearplan.sheet.shop import Paper

#: The fields of one session by lines; each takes its share of the width.
LINES: tuple[tuple[tuple[str, float], ...], ...] = (
    (("session", 3), ("rider", 3), ("laps", 1), ("lap_s", 2)),
    (("temperature_c", 1), ("surface_c", 1.4), ("pressure_hpa", 1.4), ("wind_kmh", 1), ("wind_from", 2)),
    (("track", 3), ("fuel_l", 1), ("front", 1.4), ("rear", 1.4), ("links", 1.4)),
    (("tyre", 3), ("tyre_worn_mm", 1.6), ("circumference_mm", 2)),
    (("gears", 1),),
    (("notes", 1),),
    ((("", 1),)),
)

#: Labels that say how a field is filled in by hand.
_OTHER_WORDS = {
    "gears": tr("Gear pairs, where changed"),
    "lap_s": tr("Best lap, min:s"),
    "track": tr("Track: ring one"),
    "links": tr("Links"),
}


@dataclass(frozen=True, slots=True)
class Blank:
    """A field to be filled in: its label with the unit, its share of the line, and words to be ringed instead."""

    label: str
    share: float
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SessionSheet:
    """The sheet. `head` is what is known, `lines` the fields of one session."""

    title: str
    head: tuple[str, ...]
    lines: tuple[tuple[Blank, ...], ...]
    foot: str
    paper: Paper


def session_sheet(bike: Bike, chosen: DriveSet, circuit: str, *, paper: Paper = "A4") -> SessionSheet:
    """The sheet of a bike at a circuit (empty: a line for its name); `chosen` is the set that is on."""
    pairs = ", ".join(gear(ratio) for ratio in gearbox(bike).gears if ratio is not None)
    return SessionSheet(
        title=tr("Sessions of {name}", name=bike.name or tr("the bike")),
        head=(
            tr("Circuit {circuit}", circuit=circuit or "." * 40),
            tr("Day ") + "." * 24,
            tr(
                "On the bike: {teeth}, {chain_name}{text}",
                teeth=teeth(chosen),
                chain_name=chain_name(chosen),
                text=tr("; gears {pairs}", pairs=pairs) if pairs else "",
            ),
        ),
        lines=tuple(tuple(_blank(key, share) for key, share in line) for line in LINES),
        foot=(
            tr(
                "Every field is one of the book's. Read the tyre's wear in the middle of the tread. Write what "
                "was ridden, "
                "not what was planned."
            )
        ),
        paper=paper,
    )


def _blank(key: str, share: float) -> Blank:
    if not key:
        return Blank("", share)
    what = book_entry(key)
    unit = f", {what.unit}" if what.unit and what.unit not in ("teeth", "links") else ""
    label = _OTHER_WORDS.get(key, f"{what.label}{unit}")
    return Blank(label, share, tuple(map(tr, TRACKS)) if key == "track" else ())
