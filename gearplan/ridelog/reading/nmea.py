"""Reading a ride from the sentences of a satellite receiver: NMEA 0183 as text.

A sentence is “$”, two letters of the talker, three of the kind, fields between commas, “*” and the exclusive or of all
signs between “$” and “*” as two hexadecimal digits. Looked at are GGA (time, position, quality, height), RMC (time,
validity, position, speed in knots, date) and VTG (speed). Source: E. S. Raymond, “NMEA Revealed”, an open description
of the sentences (from memory).
"""

from __future__ import annotations

import re
from datetime import date
from functools import reduce
from operator import xor
from pathlib import Path

import numpy as np

from gearplan.bike.text.units import KMH
from gearplan.language import tr, trn
from gearplan.ridelog.log import LogError, RideLog
from gearplan.ridelog.reading.columns import KNOT
from gearplan.ridelog.reading.pieces import Cancelled, Progress, line_pieces, on_the_way, size_of
from gearplan.ridelog.reading.satellites import ride_of

_SENTENCE = re.compile(r"\$([A-Z]{2}(GGA|RMC|VTG),[^*$]*)(?:\*([0-9A-Fa-f]{2}))?")
_STARTS = re.compile(rb"^[^$\r\n]{0,60}\$[A-Z]{2}(GGA|RMC|VTG|GLL|GSA|GSV|ZDA|GNS),", re.MULTILINE)
_DAY = 86400.0


def has_sentences(start: bytes) -> bool:
    """Whether the first bytes of a file hold sentences of a receiver."""
    return _STARTS.search(start) is not None


def read_nmea(path: Path, progress: Progress | None = None, cancelled: Cancelled | None = None) -> RideLog:
    """Read the fixes of a receiver; LogError in one line if there are none."""
    size, done, fixes = size_of(path), 0, _Fixes()
    for lines, read in line_pieces(path, "ascii", 1, comma=False):
        for line in lines:
            fixes.take(line)
        done += read
        on_the_way(done / max(size, 1), len(fixes.rows), progress, cancelled)
    fixes.close()
    notes = []
    if fixes.broken:
        notes.append(
            trn(
                "1 sentence has a checksum that does not agree and is left out.",
                "{n} sentences have a checksum that does not agree and are left out.",
                fixes.broken,
            )
        )
    if len(fixes.rows) < 2:
        told = f" {notes[0]}" if notes else ""
        raise LogError(
            tr("There are no two fixes in this file: sentences GGA or RMC with a valid position.{told}", told=told)
        )
    return ride_of(path.name, np.array(fixes.stamps), np.array(fixes.rows), notes)


class _Fixes:
    """The fixes so far, and the one whose sentences are being gathered: those of one time belong together."""

    def __init__(self) -> None:
        self.stamps: list[float] = []
        self.rows: list[tuple[float, float, float, float]] = []
        self.broken = 0
        self._clock: float | None = None
        self._day, self._dated = 0.0, False
        self._told: dict[str, float] = {}

    def take(self, line: str) -> None:
        """Take one line; what is no sentence of use is passed over."""
        found = _SENTENCE.search(line)
        if found is None:
            return
        if found[3] is not None and reduce(xor, found[1].encode(), 0) != int(found[3], 16):
            self.broken += 1
            return
        fields = found[1].split(",") + [""] * 12
        if found[2] == "VTG":
            self._vtg(fields)
            return
        clock = _clock(fields[1])
        if clock is None:
            return
        if clock != self._clock:
            self.close()
            if self._clock is not None and clock < self._clock - _DAY / 2:
                # Past midnight; where a date comes too, that counts.
                self._day += _DAY
            self._clock = clock
        if found[2] == "GGA":
            self._gga(fields)
        else:
            self._rmc(fields)

    def close(self) -> None:
        """No more sentences of this time: keep it if it has a position."""
        told = self._told
        if self._clock is not None and "latitude" in told and "longitude" in told:
            self.stamps.append(self._day + self._clock)
            # Only RMC has a time of its own, so its speed goes before that of VTG.
            speed = told.get("speed", told.get("speed over ground", np.nan))
            self.rows.append((told["latitude"], told["longitude"], told.get("height", np.nan), speed))
        self._told = {}

    def _gga(self, fields: list[str]) -> None:
        if fields[6] in ("", "0"):
            return
        self._placed(fields[2:6])
        if fields[10] == "M" and (height := _number(fields[9])) is not None:
            self._told["height"] = height

    def _rmc(self, fields: list[str]) -> None:
        if (day := _day(fields[9])) is not None:
            if not self._dated:
                # What came before the first date was of that day too.
                self.stamps = [stamp + day - self._day for stamp in self.stamps]
            self._day, self._dated = day, True
        if fields[2] != "A":
            return
        self._placed(fields[3:7])
        if (knots := _number(fields[7])) is not None:
            self._told["speed"] = knots * KNOT

    def _vtg(self, fields: list[str]) -> None:
        for at, sign, unit in ((7, "K", KMH), (5, "N", KNOT)):
            if fields[at + 1] == sign and (speed := _number(fields[at])) is not None:
                self._told.setdefault("speed over ground", speed * unit)
                return

    def _placed(self, fields: list[str]) -> None:
        latitude, longitude = _degrees(fields[0], fields[1], "NS"), _degrees(fields[2], fields[3], "EW")
        if latitude is not None and longitude is not None:
            self._told.setdefault("latitude", latitude)
            self._told.setdefault("longitude", longitude)


def _number(text: str) -> float | None:
    return float(text) if re.fullmatch(r"-?\d{1,9}(\.\d{0,12})?", text) else None


def _clock(text: str) -> float | None:
    """Seconds of the day of hhmmss.ss."""
    found = re.fullmatch(r"(\d\d)(\d\d)(\d\d(?:\.\d{0,6})?)", text)
    return 3600.0 * int(found[1]) + 60.0 * int(found[2]) + float(found[3]) if found else None


def _day(text: str) -> float | None:
    """Seconds from the first of 1980 to the day ddmmyy, two digits for a year from then on."""
    if not re.fullmatch(r"\d{6}", text):
        return None
    year = int(text[4:])
    try:
        told = date(year + (1900 if year >= 80 else 2000), int(text[2:4]), int(text[:2]))
    except ValueError:
        return None
    return _DAY * (told - date(1980, 1, 1)).days


def _degrees(text: str, side: str, sides: str) -> float | None:
    """Degrees of ddmm.mmmm or dddmm.mmmm and its side; south and west count down."""
    found = re.fullmatch(r"(\d{1,3})(\d\d(?:\.\d{0,9})?)", text)
    if found is None or len(side) != 1 or side not in sides:
        return None
    return (int(found[1]) + float(found[2]) / 60) * (1 if side == sides[0] else -1)
