"""How near an outing in the book is to today, and in what it differs. The only place that says how near is near.

Each thing that differs counts by its step: a difference of one step counts 1. The steps are common practice, no
source: how far it takes until a mechanic would look at the gearing again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from gearplan.bike.book import TRACKS, BookEntry, book_entry
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import MM
from gearplan.bike.text.written import inside, lap_time, number
from gearplan.drive.tyre import worn_circumference
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.setup.ratios import rolling

#: So much of it counts as one step, in the unit of the entry.
STEPS = {
    "temperature_c": 10.0,
    "surface_c": 15.0,
    "pressure_hpa": 25.0,
    "wind_kmh": 20.0,
    "fuel_l": 8.0,
    "circumference_mm": 20.0,
}
#: From dry to damp, and from damp to wet, in steps: more than any usual day makes up for.
TRACK_STEPS = 4.0
#: Another rider, in steps.
RIDER_STEPS = 1.0
#: What only one of two days tells counts like this many steps.
UNKNOWN_STEPS = 0.5
#: Below this share of a step nobody speaks of a difference.
_SAID_FROM = 0.2

#: How "more" and "less" of each is said, and with how many decimals.
_WORDS = {
    "temperature_c": ("warmer", "colder", 0),
    "surface_c": (tr("warmer on the track"), tr("colder on the track"), 0),
    "pressure_hpa": (tr("more air pressure"), tr("less air pressure"), 0),
    "wind_kmh": (tr("more wind"), tr("less wind"), 0),
    "fuel_l": (tr("more fuel"), tr("less fuel"), 0),
    "circumference_mm": (tr("more tyre circumference"), tr("less tyre circumference"), 0),
}


@dataclass(frozen=True, slots=True)
class Near:
    """An outing of the book (`index` from 0), how far it is from today in steps, and in what today differs."""

    index: int
    entry: BookEntry
    steps: float
    differs: tuple[str, ...]


def same_circuit(one: str, other: str) -> bool:
    """Whether two names mean one circuit: without regard to capitals and spaces."""
    return _plain(one) == _plain(other) != ""


def circumference_mm(entry: BookEntry, bike: Bike) -> float | None:
    """How far the rear tyre rolled that day: measured, else the bike's own less what was worn off; None if unknown."""
    if entry.circumference_mm is not None:
        return entry.circumference_mm
    own = rolling(bike)
    if entry.tyre_worn_mm is None or own is None:
        return None
    return worn_circumference(own.circumference, entry.tyre_worn_mm * MM) / MM


def steps_apart(entry: BookEntry, today: BookEntry, bike: Bike) -> float:
    """How far an outing is from today, in steps; 0 if nothing that today tells is different or unknown."""
    apart = 0.0
    for key, step in STEPS.items():
        was, now = _of(entry, key, bike), _of(today, key, bike)
        if now is not None:
            apart += _unknown(key) if was is None else abs(now - was) / step
    if today.track is not None:
        known = entry.track is not None
        apart += TRACK_STEPS * abs(_wetness(today) - _wetness(entry)) if known else UNKNOWN_STEPS
    if today.rider:
        same = _plain(today.rider) == _plain(entry.rider)
        apart += 0.0 if same else RIDER_STEPS if entry.rider else UNKNOWN_STEPS
    return apart


def nearest(entries: Sequence[BookEntry], today: BookEntry, bike: Bike) -> tuple[Near, ...]:
    """The outings at today's circuit from which advice can start, the nearest first; of equal ones the newest."""
    found = [
        Near(index, entry, steps_apart(entry, today, bike), tuple(differences(entry, today, bike)))
        for index, entry in enumerate(entries)
        if same_circuit(entry.circuit, today.circuit) and entry.has_gearing
    ]
    return tuple(sorted(found, key=lambda near: (near.steps, -_age(near.entry), -near.index)))


def differences(entry: BookEntry, today: BookEntry, bike: Bike) -> Iterator[str]:
    """In what today differs from an outing, in words; what only one of them tells is named too."""
    if today.track is not None and today.track != entry.track:
        yield (
            tr("{track} instead of {track2}", track=today.track, track2=entry.track)
            if entry.track
            else tr("{track}, then not written down", track=today.track)
        )
    for key, step in STEPS.items():
        was, now = _of(entry, key, bike), _of(today, key, bike)
        if now is None:
            continue
        more, less, digits = _WORDS[key]
        if was is None:
            if _unknown(key):
                yield tr("{label} then not written down", label=inside(book_entry(key).label))
        elif abs(now - was) >= _SAID_FROM * step:
            yield f"{number(abs(now - was), 1, digits)} {book_entry(key).unit} {more if now > was else less}"
    if today.rider and entry.rider and _plain(today.rider) != _plain(entry.rider):
        yield tr("{rider} rides instead of {rider2}", rider=today.rider, rider2=entry.rider)
    own = _gears(bike)
    if entry.gears is not None and own is not None and entry.gears != own:
        changed = [str(k) for k, (was, now) in enumerate(zip(entry.gears, own, strict=False), 1) if was != now]
        yield tr("other gear pairs in {join}", join=", ".join(changed)) if changed else tr("another number of gears")


def drive_set(entry: BookEntry, bike: Bike) -> DriveSet:
    """The set that was ridden; the chain is the bike's own where the book names none."""
    return DriveSet(entry.front, entry.rear, entry.links, entry.chain or bike.final_drive.chain)


def today_of(bike: Bike, circuit: str, **known: object) -> BookEntry:
    """Today as far as the bike's profile tells it: its air and its tyre."""
    own = rolling(bike)
    air = bike.conditions
    told = {
        "circuit": circuit,
        "temperature_c": air.temperature_c,
        "pressure_hpa": air.pressure_hpa,
        "circumference_mm": None if own is None or own.by != "measured" else own.circumference / MM,
    }
    return BookEntry(**(told | {key: value for key, value in known.items() if value is not None}))  # type: ignore[arg-type]


def told(entry: BookEntry) -> str:
    """An outing in one line: day, set, lap, weather."""
    gearing = f"{entry.front}/{entry.rear}" if entry.has_gearing else tr("no gearing")
    links = tr(", {links} links", links=entry.links) if entry.has_gearing and entry.links else ""
    air = f"{number(entry.temperature_c)} °C" if entry.temperature_c is not None else ""
    lap = lap_time(entry.lap_s) if entry.lap_s is not None else ""
    day = entry.day.isoformat() if entry.day else tr("no day")
    return ", ".join(filter(None, (day, f"{gearing}{links}", lap, air, entry.track or "", entry.rider)))


def _of(entry: BookEntry, key: str, bike: Bike) -> float | None:
    if key == "circumference_mm":
        return circumference_mm(entry, bike)
    found: float | None = getattr(entry, key)
    return found


def _gears(bike: Bike) -> tuple[object, ...] | None:
    return bike.gearbox.gears


def _unknown(key: str) -> float:
    """How far apart two days are of which only today's is told; a tyre that nobody measured is the bike's own."""
    return 0.0 if key == "circumference_mm" else UNKNOWN_STEPS


def _wetness(entry: BookEntry) -> int:
    return TRACKS.index(entry.track) if entry.track else 0


def _age(entry: BookEntry) -> int:
    return entry.day.toordinal() if entry.day else 0


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
