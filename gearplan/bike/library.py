"""The files that ship with the program: demo bikes, tables and fonts, found through importlib.resources."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable


@dataclass(frozen=True, slots=True)
class ChainSize:
    """One chain size of the table; `front_teeth_min` is common practice, no source."""

    size: str
    pitch_mm: float
    front_teeth_min: int


def resource(*parts: str) -> Traversable:
    """A shipped file by its path under resources/."""
    found = files("gearplan.resources")
    for part in parts:
        found = found / part
    return found


def table_rows(name: str) -> Iterator[dict[str, str]]:
    """The rows of a shipped CSV table by column name; lines that begin with # are its sources."""
    lines = resource("tables", name).read_text(encoding="utf-8").splitlines()
    yield from csv.DictReader(line for line in lines if not line.startswith("#"))


@lru_cache(maxsize=1)
def chain_sizes() -> dict[str, ChainSize]:
    """The known chain sizes by name, in the table's order."""
    return {
        row["size"]: ChainSize(row["size"], float(row["pitch_mm"]), int(row["front_teeth_min"]))
        for row in table_rows("chains.csv")
    }


@lru_cache(maxsize=1)
def demo_bikes() -> dict[str, Traversable]:
    """The demo bikes' files by the bikes' names; the first is the one the window opens with."""
    found = sorted(
        (file for file in resource("bikes").iterdir() if file.name.endswith(".bike.toml")),
        key=lambda file: file.name,
    )
    return {_name_in(file): file for file in found}


def _name_in(file: Traversable) -> str:
    """The value of the name line, without reading the file as TOML (that would cost start-up time)."""
    for line in file.read_text(encoding="utf-8").splitlines():
        key, _, value = line.partition("=")
        if key.strip() == "name":
            return value.split("#")[0].strip().strip('"')
    return file.name
