"""An engine curve as text: a table from a spreadsheet or a CSV file, read into points of torque.

Commas, semicolons, tabs or spaces between the columns; decimal point or comma; torque or power in any common unit.
What is plain is put right and said; what is not is refused with the number of its row.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from gearplan.bike.files.ordinary import read_file, why
from gearplan.bike.text.numbertext import NumberTextError, parse_number
from gearplan.bike.text.units import HP, KGF, LBF_FOOT, PS, RPM
from gearplan.language import tr

Points = tuple[tuple[float, float], ...]

_MOST_BYTES = 2_000_000
#: More points than this say no more about a curve, and are tiresome to edit.
_MOST_POINTS = 60
_MOST_RPM, _MOST_TORQUE = 30000, 1000
#: Power and torque of one row may differ by rounding and by a moving engine speed.
_AGREES_WITHIN = 0.03
#: Two readings at one engine speed are averaged if they are this close; else one of them is wrong.
_SAME_WITHIN = 0.25

_TORQUE_UNITS = {"nm": 1.0, "kgfm": KGF, "kgm": KGF, "mkg": KGF, "kpm": KGF, "danm": 10.0}
_FOOT_POUNDS = ("lbfft", "ftlbf", "lbft", "ftlb", "ftlbs", "lbsft", "poundfeet", "poundfoot", "footpounds")
_TORQUE_UNITS.update(dict.fromkeys(_FOOT_POUNDS, LBF_FOOT))
_POWER_UNITS = {"kw": 1000.0, "w": 1.0, "watt": 1.0, "ps": PS, "cv": PS, "ch": PS, "pk": PS}
_POWER_UNITS.update({"hp": HP, "bhp": HP, "whp": HP, "rwhp": HP})
_SPEED_UNITS = {"rpm": 1.0, "1/min": 1.0, "min-1": 1.0, "r/min": 1.0, "u/min": 1.0, "rev/min": 1.0}
_SPEED_UNITS.update({"1000rpm": 1000.0, "rpmx1000": 1000.0, "x1000rpm": 1000.0, "krpm": 1000.0})
_SPEED_UNITS.update({"1000/min": 1000.0, "rad/s": 1 / RPM})
_NAMES = {
    "speed": ("enginespeed", "speed", "revs", "rev", "n", "drehzahl", "motordrehzahl", "regime", "giri"),
    "torque": ("torque", "drehmoment", "moment", "couple", "coppia", "par"),
    "power": ("power", "leistung", "puissance", "potenza", "potencia"),
}


class CurveError(ValueError):
    """A table that is no engine curve; the message says what is wrong, in which row, and what would be right."""


@dataclass(frozen=True, slots=True)
class CurveReading:
    """The points that were read (rpm rising, N·m) and what was put right or taken for granted."""

    points: Points
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Column:
    kind: str  # "speed", "torque" or "power"
    factor: float  # into rpm, N·m or W
    unit: str
    index: int


_Row = tuple[int, list[str]]


def read_curve(text: str) -> CurveReading:
    """Read a table of engine speed against torque or power; CurveError if it is none."""
    if len(text) > _MOST_BYTES:
        raise CurveError(tr("This is far too long for an engine curve; give one table of engine speed and torque."))
    if "\0" in text:
        raise CurveError(tr("This is not text. Give a table of engine speed and torque as text or CSV."))
    rows = [
        (number, line.strip("\r\n"))
        for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)
        if line.strip() and not line.lstrip().startswith(("#", "//"))
    ]
    if not rows:
        raise CurveError(tr("There is no row to read. Give one row a point: engine speed, then torque."))
    split = _splitter([line for _, line in rows])
    table = [(number, [cell.strip().strip('"').strip() for cell in split(line)]) for number, line in rows]
    heads = list(itertools.takewhile(lambda row: not _numeric(row[1]), table))
    notes: list[str] = []
    columns = _columns(heads, table[len(heads) :], notes)
    return _joined(table[len(heads) :], columns, notes)


def read_text(path: Path) -> str:
    """The text of a table's file; CurveError says why it cannot be read."""
    try:
        data = read_file(path, _MOST_BYTES)
    except OSError as failed:
        raise CurveError(f"{why(failed)}.") from failed
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as failed:
        raise CurveError(tr("{why}; give a table of engine speed and torque.", why=why(failed))) from failed


def _splitter(lines: list[str]) -> Callable[[str], list[str]]:
    """How the cells of a line are told apart."""
    some = lines[:50]
    for delimiter in ("\t", ";", "|"):
        if sum(delimiter in line for line in some) * 2 > len(some):
            return lambda line: line.rstrip(delimiter).split(delimiter)
    numeric = [line for line in some if re.match(r"\s*[\d.,+-]", line)]
    spaced = [line for line in numeric if len(re.split(r"\s+", line.strip())) > 1 and not re.search(r",\s", line)]
    if numeric and len(spaced) == len(numeric):
        return str.split
    return lambda line: line.rstrip(",").split(",")


def _numeric(cells: list[str]) -> bool:
    return any(_number(cell) is not None for cell in cells)


def _number(cell: str) -> float | None:
    try:
        return parse_number(cell)
    except NumberTextError:
        return None


def _columns(heads: list[_Row], body: list[_Row], notes: list[str]) -> list[_Column]:
    if not body:
        raise CurveError(tr("There is no row of numbers. Give one row a point: engine speed, then torque."))
    width = max(len(cells) for _, cells in body[:50])
    found: list[_Column] = []
    told = [" ".join(cells[index] for _, cells in heads if index < len(cells)) for index in range(width)]
    # A unit says more than a name: "speed" beside "rpm" is the road's.
    for by in (_column_by_unit, _column_by_name):
        for index, text in enumerate(told):
            column = by(text, index)
            if column and column.kind not in {c.kind for c in found} and index not in {c.index for c in found}:
                found.append(column)
    kinds = {column.kind for column in found}
    if "speed" in kinds and kinds - {"speed"}:
        named = max(len(cells) for _, cells in heads)
        if width > named:
            number = next(number for number, cells in body if len(cells) > named)
            raise CurveError(
                tr(
                    "Row {number} has more cells than the heading names. With decimal commas, put semicolons "
                    "or tabs between the columns.",
                    number=number,
                )
            )
        return found
    if found and "speed" in kinds:
        raise CurveError(tr("No column is headed torque or power. Head one as, say, “torque N·m” or “power kW”."))
    if found and heads:
        raise CurveError(tr("No column is headed engine speed. Head one as, say, “engine speed rpm”."))
    if heads:
        raise CurveError(
            tr(
                "Row {heads}: “{join}” names neither engine speed nor torque. Head the columns as, say, “rpm” "
                "and “N·m”, or leave the heading out.",
                heads=heads[0][0],
                join=" ".join(heads[0][1])[:60],
            )
        )
    if width != 2:
        raise CurveError(
            tr(
                "There is no heading and there are {width} columns. Give two, engine speed in rpm and torque "
                "in N·m, or head the columns. With decimal commas, put semicolons or tabs between them.",
                width=width,
            )
        )
    notes.append(tr("There is no heading: read as rpm and N·m."))
    return [_Column("speed", 1.0, "rpm", 0), _Column("torque", 1.0, "N·m", 1)]


def _column_by_unit(told: str, index: int) -> _Column | None:
    """The column whose heading holds a unit of engine speed, torque or power."""
    words = _words(told)
    for kind, units in (("speed", _SPEED_UNITS), ("torque", _TORQUE_UNITS), ("power", _POWER_UNITS)):
        for word in sorted(words, key=len, reverse=True):
            if word in units:
                return _Column(kind, units[word], told.strip(), index)
    return None


def _column_by_name(told: str, index: int) -> _Column | None:
    """The column whose heading names engine speed, torque or power without a unit that is known."""
    for kind, standard, unit in (("speed", 1.0, "rpm"), ("torque", 1.0, "N·m"), ("power", 1000.0, "kW")):
        if any(word in _NAMES[kind] for word in _words(told)):
            return _Column(kind, standard, unit, index)
    return None


def _words(told: str) -> list[str]:
    """The words of a heading, each two in a row as one, without signs that units are written with."""
    words = [word for word in re.split(r"[\s\[\](){},:;_=]+", told.lower().replace("⁻¹", "-1")) if word]
    plain = [word if word == "min-1" else re.sub(r"[·*.⋅×'’^-]", "", word) for word in words]
    return plain + ["".join(two) for two in itertools.pairwise(plain)] + [word.replace("/", "") for word in plain]


def _joined(body: list[_Row], columns: list[_Column], notes: list[str]) -> CurveReading:
    by_kind = {column.kind: column for column in columns}
    raw = [
        (number, {kind: _cell(number, cells, column) for kind, column in by_kind.items()})
        for number, cells in body
        if any(cells)
    ]
    scale = 1.0
    if max(values["speed"] for _, values in raw) < 50:
        scale = 1000.0
        notes.append(tr("Engine speeds are read as thousands of rpm."))
    read: list[tuple[float, float, int]] = []
    for number, values in raw:
        rpm, torque, power = scale * values["speed"], values.get("torque"), values.get("power")
        if torque is not None:
            if power is not None and rpm > 0:
                _must_agree(number, rpm, torque, power, by_kind["power"])
        elif rpm > 0:
            assert power is not None
            torque = power / (rpm * RPM)
        else:
            notes.append(tr("Row {number} is left out: power at 0 rpm says nothing of torque.", number=number))
            continue
        if rpm > _MOST_RPM:
            raise CurveError(
                tr(
                    "Row {number}: {rpm:g} rpm can't be right; give at most {most_rpm} rpm.",
                    number=number,
                    rpm=rpm,
                    most_rpm=_MOST_RPM,
                )
            )
        if torque > _MOST_TORQUE:
            raise CurveError(
                tr(
                    "Row {number}: {torque:.0f} N·m can't be right; give at most {most_torque} N·m.",
                    number=number,
                    torque=torque,
                    most_torque=_MOST_TORQUE,
                )
            )
        read.append((rpm, torque, number))
    if "torque" not in by_kind:
        notes.append(tr("Torque is computed from power."))
    if len(read) < 2:
        raise CurveError(
            tr("There is {text}; a curve needs at least two.", text=tr("one point") if read else tr("no point"))
        )
    if any(later[0] < earlier[0] for earlier, later in itertools.pairwise(read)):
        notes.append(tr("The rows are put in order of engine speed."))
    points = _averaged(sorted(read), notes)
    if len(points) < 2:
        raise CurveError(tr("All rows have the same engine speed; a curve needs at least two."))
    return CurveReading(_thinned(points, len(read), notes), tuple(notes))


def _cell(number: int, cells: list[str], column: _Column) -> float:
    name = {"speed": "engine speed", "torque": "torque", "power": "power"}[column.kind]
    text = cells[column.index] if column.index < len(cells) else ""
    if not text:
        raise CurveError(
            tr("Row {number}: the {name} is missing. Fill it in or leave the row out.", number=number, name=name)
        )
    try:
        value = parse_number(text)
    except NumberTextError as refused:
        raise CurveError(tr("Row {number}: {name} {refused}.", number=number, name=name, refused=refused)) from refused
    if value < 0:
        raise CurveError(
            tr(
                "Row {number}: {name} {text} is negative. Leave the row out or put it right.",
                number=number,
                name=name,
                text=text,
            )
        )
    return value * column.factor


def _must_agree(number: int, rpm: float, torque: float, power: float, column: _Column) -> None:
    expected = torque * rpm * RPM
    if abs(power - expected) <= _AGREES_WITHIN * max(expected, power) + 300:
        return
    if not expected:
        raise CurveError(
            tr(
                "Row {number}: it has power, but torque or engine speed is 0. Put it right or leave it out.",
                number=number,
            )
        )
    units = [("kW", 1000.0), ("PS", PS), ("hp", HP)]
    off = [(abs(power / column.factor * factor / expected - 1), unit) for unit, factor in units]
    nearest, unit = min(off)
    hint = tr(" It would agree in {unit}.", unit=unit) if nearest <= _AGREES_WITHIN else ""
    raise CurveError(
        tr(
            "Row {number}: torque and power disagree. {torque:.1f} N·m at {rpm:.0f} rpm is {expected:.1f} kW, "
            "but the row says {power:.1f} kW.{hint} Put the wrong column right or leave it out.",
            number=number,
            torque=torque,
            rpm=rpm,
            expected=expected / 1000,
            power=power / 1000,
            hint=hint,
        )
    )


def _averaged(read: list[tuple[float, float, int]], notes: list[str]) -> list[tuple[float, float]]:
    found = []
    repeated = False
    for rpm, group in itertools.groupby(read, key=lambda row: row[0]):
        rows = list(group)
        torques = [torque for _, torque, _ in rows]
        if max(torques) - min(torques) > _SAME_WITHIN * max(torques):
            worst = (max(rows, key=lambda row: row[1]), min(rows, key=lambda row: row[1]))
            raise CurveError(
                tr(
                    "Rows {worst} and {worst2} have the same engine speed, {rpm:g} rpm, but {worst3:.1f} and "
                    "{worst4:.1f} N·m. Leave out the one that is wrong.",
                    worst=worst[0][2],
                    worst2=worst[1][2],
                    rpm=rpm,
                    worst3=worst[0][1],
                    worst4=worst[1][1],
                )
            )
        repeated = repeated or len(rows) > 1
        found.append((rpm, _mean(torques)))
    if repeated:
        notes.append(tr("Rows with the same engine speed are averaged."))
    return found


def _thinned(points: list[tuple[float, float]], count: int, notes: list[str]) -> Points:
    if len(points) > _MOST_POINTS:
        low, high = points[0][0], points[-1][0]
        width = (high - low) / (_MOST_POINTS - 2)
        # Bins centred on even steps, half as wide at the ends, so that the curve keeps its ends.
        bins = itertools.groupby(points, key=lambda point: round((point[0] - low) / width))
        means = [list(group) for _, group in bins]
        points = [(_mean(p[0] for p in group), _mean(p[1] for p in group)) for group in means]
        points[0], points[-1] = (low, points[0][1]), (high, points[-1][1])
        notes.append(tr("{count} rows are averaged into {points} points.", count=count, points=len(points)))
    return tuple((round(rpm, 1), round(torque, 3)) for rpm, torque in points)


def _mean(values: Iterable[float]) -> float:
    kept = list(values)
    return sum(kept) / len(kept)
