"""The files that ship with the program: demo bikes, tables and fonts, found through importlib.resources."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class ChainSize:
    """One chain size of the table; None where nothing is known. `sources` tells where each value comes from."""

    size: str
    pitch_mm: float
    front_teeth_min: int
    roller_mm: float | None = None
    inner_width_mm: float | None = None
    pin_mm: float | None = None
    plate_height_mm: float | None = None
    tensile_kn: float | None = None
    mass_kg_per_m: float | None = None
    sources: Mapping[str, str] = field(default_factory=dict, compare=False)


def resource(*parts: str) -> Traversable:
    """A shipped file by its path under gearplan/resources."""
    found = files("gearplan.resources")
    for part in parts:
        found = found / part
    return found


def table_rows(name: str) -> Iterator[dict[str, str]]:
    """The rows of a shipped CSV table by column name; lines that begin with # are its sources."""
    lines = resource("tables", name).read_text(encoding="utf-8").splitlines()
    yield from csv.DictReader(line for line in lines if not line.startswith("#"))


@lru_cache(maxsize=1)
def chain_sizes() -> Mapping[str, ChainSize]:
    """The known chain sizes by name, in the table's order."""
    values: dict[str, dict[str, float]] = {}
    sources: dict[str, dict[str, str]] = {}
    for row in table_rows("chains.csv"):
        values.setdefault(row["size"], {})[row["quantity"]] = float(row["value"])
        sources.setdefault(row["size"], {})[row["quantity"]] = row["source"]
    found = {}
    for size, known in values.items():
        smallest = int(known.pop("front_teeth_min"))
        found[size] = ChainSize(size, front_teeth_min=smallest, sources=MappingProxyType(sources[size]), **known)
    return MappingProxyType(found)


@lru_cache(maxsize=1)
def demo_bikes() -> Mapping[str, Traversable]:
    """The demo bikes' files by the bikes' names; the first is the one the window opens with."""
    return _named("bikes", ".bike.toml")


@lru_cache(maxsize=1)
def demo_circuits() -> Mapping[str, Traversable]:
    """The demo circuits' files by the circuits' names."""
    return _named("circuits", ".circuit.toml")


def _named(folder: str, ending: str) -> Mapping[str, Traversable]:
    found = sorted(
        (file for file in resource(folder).iterdir() if file.name.endswith(ending)), key=lambda file: file.name
    )
    return MappingProxyType({_name_in(file): file for file in found})


def _name_in(file: Traversable) -> str:
    """The value of the name line, without reading the file as TOML (that would cost start-up time)."""
    for line in file.read_text(encoding="utf-8").splitlines():
        key, _, value = line.partition("=")
        if key.strip() == "name":
            return value.split("#")[0].strip().strip('"')
    return file.name
