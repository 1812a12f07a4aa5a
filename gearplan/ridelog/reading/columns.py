"""What the columns of a ride log hold: guessed from headings, units and values, for a person to confirm."""

from __future__ import annotations

import itertools
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Self

from gearplan.bike.text.units import DEGREE, KMH, MPH, RPM
from gearplan.language import tr
from gearplan.ridelog.reading.headings import NAMED, NO_TIME, Kind

#: The kinds in the order in which a person is asked, with their names.
LABELS: dict[Kind, str] = {
    "time": tr("Time"),
    "engine": tr("Engine speed"),
    "road": tr("Road speed"),
    "gps": tr("Speed by satellite"),
    "latitude": tr("Latitude"),
    "longitude": tr("Longitude"),
    "altitude": tr("Altitude"),
    "gear": tr("Gear"),
    "throttle": tr("Throttle"),
    "lean": tr("Lean"),
    "unused": tr("Not used"),
}

#: m/s in one international knot, by definition.
KNOT = 1852 / 3600
_FOOT = 0.3048  # m in one foot; international yard and pound agreement, 1959

#: The units of each kind and their factors into SI; the first is what is taken where none is named. The texts of
#: "date and time" and "clock time" are read apart from the numbers.
UNITS: dict[Kind, dict[str, float]] = {
    "time": {"s": 1.0, "ms": 1e-3, "µs": 1e-6, "min": 60.0, "h": 3600.0, "date and time": 1.0, "clock time": 1.0},
    "engine": {"rpm": RPM, "rad/s": 1.0, "1000 rpm": 1000 * RPM, "1/s": 60 * RPM},
    "road": {"km/h": KMH, "mph": MPH, "m/s": 1.0, "kn": KNOT},
    "gps": {"km/h": KMH, "mph": MPH, "m/s": 1.0, "kn": KNOT},
    "latitude": {"°": 1.0, "rad": 1 / DEGREE},
    "longitude": {"°": 1.0, "rad": 1 / DEGREE},
    "altitude": {"m": 1.0, "ft": _FOOT, "km": 1000.0},
    "gear": {"": 1.0},
    "throttle": {"%": 0.01, "share": 1.0},
    "lean": {"°": DEGREE, "rad": 1.0},
    "unused": {"": 1.0},
}

_SPELLED: dict[str, tuple[str, ...]] = {
    "s": ("s", "sec", "secs", "second", "seconds", "sek", "sekunden"),
    "ms": ("ms", "msec", "millis", "milliseconds", "millisecond"),
    "µs": ("us", "usec", "microseconds", "microsecond"),
    "min": ("min", "minutes", "minute"),
    "h": ("h", "hours", "hour"),
    "rpm": ("rpm", "1/min", "/min", "min-1", "min^-1", "u/min", "r/min", "rev/min", "tr/min", "giri/min"),
    "1000 rpm": ("krpm", "x1000rpm", "rpmx1000", "1000rpm"),
    "rad/s": ("rad/s", "rads", "radps"),
    "1/s": ("hz", "1/s", "rps"),
    "km/h": ("km/h", "kmh", "kph", "kmph", "km/hr", "kmhr"),
    "mph": ("mph", "mi/h", "miles/h", "mih"),
    "m/s": ("m/s", "ms-1", "mps", "m/sec", "ms^-1"),
    "kn": ("kn", "knot", "knots", "kt", "kts"),
    "°": ("°", "deg", "degree", "degrees", "grad"),
    "rad": ("rad", "radian", "radians"),
    "m": ("m", "meter", "meters", "metre", "metres"),
    "ft": ("ft", "feet", "foot"),
    "km": ("km",),
    "%": ("%", "percent", "pct", "prozent"),
    "share": ("share", "fraction", "ratio"),
    "date and time": ("iso", "iso8601", "utc", "gmt", "datetime"),
}
_UNIT_OF = {word: unit for unit, words in _SPELLED.items() for word in words}

_AS_BEFORE = tr("The columns are read as you said for an earlier file with these headings.")
_DATED = re.compile(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}[T ]\d{1,2}:\d{2}.*")
_CLOCK = re.compile(r"(\d{1,3}:)?\d{1,3}:\d{2}([.,]\d+)?")

#: So many values show that a column rises; steps that differ by so much less (a share of a step) are as even.
_TO_RISE, _AS_EVEN = 5, 0.1


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its place (from 0), heading, what it holds and in which unit.

    `sure` says that heading and unit leave no doubt; `why` tells a person what was guessed and from what.
    """

    index: int
    heading: str
    kind: Kind
    unit: str
    sure: bool
    why: str = ""

    @property
    def factor(self) -> float:
        """One of the unit in SI (degrees for positions)."""
        return UNITS[self.kind][self.unit]


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file is laid out: what was seen of its beginning, and its columns as guessed or as confirmed.

    `first` is the line (from 1) of the first row of data, `preview` some rows of it as text, `encoding` that of the
    text by Python's name. `gathered` are notes. `look` is what stands above the columns, heading and unit of each, by
    which a file is known again; nothing where there is no heading.
    """

    delimiter: str
    comma: bool
    first: int
    columns: tuple[Column, ...]
    preview: tuple[tuple[str, ...], ...]
    gathered: tuple[str, ...] = ()
    encoding: str = "utf-8"
    look: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether nothing needs a person's confirmation."""
        return self.column("time") is not None and all(c.sure for c in self.columns if c.kind != "unused")

    @property
    def usable(self) -> bool:
        """Whether a column holds a speed or positions, without which there is nothing to tell."""
        return any(column.kind in ("road", "gps", "latitude") for column in self.columns)

    def column(self, kind: Kind) -> Column | None:
        """The column that holds a kind, if any."""
        return next((column for column in self.columns if column.kind == kind), None)

    @property
    def said(self) -> tuple[tuple[str, str], ...]:
        """What each column holds and its unit."""
        return tuple((column.kind, column.unit) for column in self.columns)

    def as_said(self, said: Sequence[tuple[str, str]]) -> Self:
        """The layout as a person has said it of an earlier file with this look; as it is, if that does not fit it."""
        kinds: dict[str, Kind] = {kind: kind for kind in LABELS}
        used = [kind for kind, _ in said if kind != "unused"]
        fits = len(said) == len(self.columns) and len(set(used)) == len(used)
        if not fits or any(kind not in kinds or unit not in UNITS[kinds[kind]] for kind, unit in said):
            return self
        columns = [
            replace(column, kind=kinds[kind], unit=unit, sure=True, why=tr("as you said before"))
            for column, (kind, unit) in zip(self.columns, said, strict=True)
        ]
        return replace(self, columns=tuple(columns), gathered=(*self.gathered, _AS_BEFORE))

    def with_column(self, index: int, kind: Kind, unit: str = "") -> Layout:
        """The layout with one column as a person says it is; a kind that another column held goes over to this.

        Without a unit it is that of the heading or of the cells, as far as they tell it.
        """
        chosen = unit if unit in UNITS[kind] else self._unit(index, kind)
        changed = [
            replace(column, kind=kind, unit=chosen, sure=True, why=tr("as you said"))
            if column.index == index
            else replace(column, kind="unused", unit="")
            if column.kind == kind and kind != "unused"
            else column
            for column in self.columns
        ]
        gathered = tuple(note for note in self.gathered if note != _AS_BEFORE)
        return replace(self, columns=tuple(changed), gathered=gathered)

    def _unit(self, index: int, kind: Kind) -> str:
        cells = [row[index] for row in self.preview if index < len(row)]
        written = next(filter(None, map(time_text, cells)), None)
        if kind == "time" and written is not None:
            return written
        heading = self.columns[index].heading
        above = self.look[index] if index < len(self.look) else heading
        # The row of units stands after the heading.
        named = _unit_of(kind, heading, words_of(heading), above.removeprefix(heading))
        return named[0] if named is not None else next(iter(UNITS[kind]))


def words_of(heading: str) -> list[str]:
    """The words of a heading in small plain letters: underscores, camel case, brackets and accents taken apart."""
    plain = unicodedata.normalize("NFKD", heading.replace("ß", "ss").replace("µ", "u"))
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign))
    plain = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", plain)
    # A run of ideographs is a word of its own.
    plain = re.sub(r"([\u4e00-\u9fff]+)", r" \1 ", plain)
    parting = r"[^a-z0-9\u4e00-\u9fff°%/^-]+|(?<=[a-z])[-](?=[a-z])"
    words = [word for word in re.split(parting, plain.lower()) if word.strip("-/")]
    # “Zeit/s” is a quantity over its unit; “km/h” is a unit.
    apart = [[word] if word in _UNIT_OF or not word[0].isalpha() else word.split("/", 1) for word in words]
    return [part for parts in apart for part in parts if part]


def time_text(cell: str) -> str | None:
    """The unit of a time that is written as text; None for a plain number or anything else."""
    if _DATED.fullmatch(cell):
        return "date and time"
    return "clock time" if _CLOCK.fullmatch(cell) else None


def unit_in(text: str) -> str | None:
    """The unit that a text is, such as the cell of a row of units or what stands in brackets; None if it is none."""
    tidy = text.strip().strip("[](){}<>|").strip().lower().replace("⁻¹", "-1").replace("−", "-").replace(" ", "")
    tidy = tidy.replace("μ", "u").replace("µ", "u").replace(".", "").replace("·", "").replace("*", "")
    return _UNIT_OF.get(tidy)


def guess(headings: Sequence[str], units: Sequence[str], samples: Sequence[Sequence[float | None]]) -> list[Column]:
    """What each column holds, by its heading, the row of units and the first values (None: not a number).

    Where two columns claim one kind, the surer and then the earlier one gets it.
    """
    claims: list[tuple[int, int, Column]] = []
    for index, heading in enumerate(headings):
        rank, column = _named(index, heading, units[index] if index < len(units) else "", samples[index])
        claims.append((rank, index, column))
    taken: set[Kind] = set()
    columns: dict[int, Column] = {}
    for _, index, column in sorted(claims, key=lambda claim: claim[:2]):
        if column.kind != "unused" and column.kind in taken:
            why = tr("another column is taken as {labels}", labels=LABELS[column.kind].lower())
            column = replace(column, kind="unused", unit="", why=why)
        taken.add(column.kind)
        columns[index] = column
    return _with_time([columns[index] for index in range(len(headings))], samples)


def _with_time(columns: list[Column], samples: Sequence[Sequence[float | None]]) -> list[Column]:
    """The columns with a time that is told by how its values rise, where no heading tells it or that one stands still.

    One that counts rows or metres by its name is none; where several rise as evenly, a person is to say which.
    """
    named = next((column for column in columns if column.kind == "time"), None)
    if named is not None:
        values = [value for value in samples[named.index] if value is not None]
        if len(values) < _TO_RISE or min(values) < max(values):
            return columns
    rising = [
        (uneven, column.index)
        for column in columns
        if column.kind == "unused"
        and not set(words_of(column.heading)) & NO_TIME
        and (uneven := _rises(samples[column.index])) is not None
    ]
    best = min(rising, default=None)
    if best is None or sum(uneven < best[0] + _AS_EVEN for uneven, _ in rising) > 1:
        return columns
    chosen = columns[best[1]]
    words = words_of(chosen.heading)
    told = _unit_of("time", chosen.heading, words, "") or _unit_by_values("time", samples[chosen.index])
    why = tr("its values rise evenly; taken as {told}", told=told[0])
    return [
        replace(column, kind="time", unit=told[0], sure=False, why=why)
        if column is chosen
        else replace(column, kind="unused", unit="", why=tr("its values stand still"))
        if column is named
        else column
        for column in columns
    ]


def _rises(sample: Sequence[float | None]) -> float | None:
    """How uneven the steps of values are that rise throughout (0 for equal steps); None if they do not rise."""
    values = [value for value in sample if value is not None]
    if len(values) < _TO_RISE or len(values) < 0.9 * len(sample):
        return None
    steps = [b - a for a, b in itertools.pairwise(values)]
    # Rounded stamps repeat, but a column that hardly changes is no clock.
    if sum(step < 0 for step in steps) > 0.02 * len(steps) or sum(step > 0 for step in steps) < 0.1 * len(steps):
        return None
    rising = sorted(step for step in steps if step > 0)
    usual = rising[len(rising) // 2]
    return sum(min(abs(step - usual) / usual, 3.0) for step in rising) / len(rising)


def _named(index: int, heading: str, unit_cell: str, sample: Sequence[float | None]) -> tuple[int, Column]:
    words = words_of(heading)
    joined = " ".join(words)
    for rank, (kind, names, against) in enumerate(NAMED):
        if any(word in words for word in against.split()):
            continue
        if not any(all(part in words for part in name.split()) for name in names):
            continue
        named = _unit_of(kind, heading, words, unit_cell)
        unit, why = named or _unit_by_values(kind, sample)
        # A road speed with no unit, or a time without one, is worth a question; a gear has none.
        sure = named is not None or kind == "gear" or (kind in ("latitude", "longitude") and not why)
        return rank, Column(index, heading, kind, unit, sure, why)
    by_letter: tuple[tuple[Kind, str], ...] = (("engine", "n"), ("road", "v"))
    for kind, letter in by_letter:
        # A column may be headed by its unit alone, or by the letter that a formula has for it.
        unit = unit_in(heading) or (unit_cell and words == [letter] and unit_in(unit_cell)) or ""
        if unit in UNITS[kind]:
            return len(NAMED), Column(index, heading, kind, unit, True)
        if words == [letter]:
            unit, why = _unit_by_values(kind, sample)
            return len(NAMED), Column(index, heading, kind, unit, False, why)
    return len(NAMED), Column(index, heading, "unused", "", True, tr("not known") if joined else tr("no heading"))


def _unit_of(kind: Kind, heading: str, words: list[str], unit_cell: str) -> tuple[str, str] | None:
    """The unit named in the row of units, in brackets, or as the last words of the heading."""
    bracketed = re.findall(r"[\[({<|]([^\])}>|]*)[\])}>|]", heading)
    last = [*words[-1:], "".join(words[-2:]), "/".join(words[-2:]), *words]
    for told in (unit_cell, *bracketed, *last):
        unit = unit_in(told)
        if unit is not None and unit in UNITS[kind]:
            return unit, ""
    return None


def _unit_by_values(kind: Kind, sample: Sequence[float | None]) -> tuple[str, str]:
    """What the first values suggest where no unit is named."""
    values = [value for value in sample if value is not None]
    first = next(iter(UNITS[kind]))
    if kind == "time" and len(values) > 2:
        steps = sorted(abs(b - a) for a, b in itertools.pairwise(values) if b != a)
        step = steps[len(steps) // 2] if steps else 0.0
        whole = all(value == int(value) for value in values)
        if abs(values[0]) > 1e14:
            return "µs", tr("no unit is named; such large numbers are microseconds")
        if abs(values[0]) > 1e11 or (whole and step >= 5):
            return "ms", tr("no unit is named; whole numbers in such steps are milliseconds")
        return "s", tr("no unit is named; taken as seconds")
    if kind == "throttle" and values and max(values) <= 1.0 and any(0 < value < 1 for value in values):
        return "share", tr("no unit is named; values up to 1 are shares")
    if kind == "engine" and values and 0 < max(values) < 30:
        return "1000 rpm", tr("no unit is named; such small numbers are thousands of rpm")
    return first, tr("no unit is named; taken as {first}", first=first) if first and kind not in (
        "latitude",
        "longitude",
    ) else ""


def guess_by_values(samples: Sequence[Sequence[float | None]]) -> list[Column]:
    """What the columns of a file without headings may hold, by their values alone; never sure."""
    taken: set[Kind] = set()
    found = []
    for index, sample in enumerate(samples):
        values = [value for value in sample if value is not None]
        kind, unit = _kind_by_values(values, taken)
        taken.add(kind)
        why = tr("there is no heading; guessed from the values") if kind != "unused" else tr("no heading")
        found.append(Column(index, tr("column {index}", index=index + 1), kind, unit, kind == "unused", why))
    return found


def _kind_by_values(values: list[float], taken: set[Kind]) -> tuple[Kind, str]:
    if len(values) < 2:
        return "unused", ""
    rises = all(b > a for a, b in itertools.pairwise(values))
    high = max(values)
    if "time" not in taken and rises:
        return "time", _unit_by_values("time", values)[0]
    if "engine" not in taken and min(values) >= 0 and 600 < high <= 30000:
        return "engine", "rpm"
    if "gear" not in taken and high <= 8 and min(values) >= 0 and all(value == int(value) for value in values):
        return "gear", ""
    if "road" not in taken and min(values) >= 0 and 0 < high <= 420:
        return "road", "km/h"
    return "unused", ""
