"""What each figure is meant to be at most, and how it stood before."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from pathlib import Path

#: Figures of earlier versions; a new one is added at a release.
TREND = Path(__file__).with_name("trend.csv")
#: A figure within this of the one before is the machine's noise.
NOISE = 1.15

#: The most that a figure may be, by the beginning or the whole of its name. The first that fits counts.
_AIMS = (
    (r"slider step on the .* page, p99, times that of the bare plot", 2.0),
    (r"first usable paint, ratio to the bare window", 0.8),
    (r"chart painted, ratio to the bare window", 1.2),
    (r"the .* page shown again, ms", 33.0),
    (r"one set evaluated, ms", 0.4),
    (r"the same with its doubts, ms", 3.0),
    (r"grid of 17 x 17, ms", 6.0),
    (r"600 sets x 4 km.*, ms", 50.0),
    (r"600 sets, leaned, grip shared, ms", 50.0),
    (r"600 sets that miss apex speeds, ms", 50.0),
    (r".*the one over the other", 10.0),
    (r"\d+ sets with gearboxes on 2 cores, the busier one, s", 3.0),
    (r"memory with all pages opened, MB", 170.0),
    (r"numbers, ratio to the bare import", 1.5),
    (r"read and told, ratio to it", 3.0),
    (r"memory over the file's size", 4.0),
)


@dataclass(frozen=True, slots=True)
class Row:
    """A figure with its aim and the one before, None where there is none."""

    name: str
    figure: float
    aim: float | None
    before: float | None

    @property
    def met(self) -> bool:
        """Whether the aim is met; a figure without one is only told."""
        return self.aim is None or self.figure <= self.aim

    def line(self) -> str:
        """The figure, its aim, and what is to be said of both, parted by tabs."""
        said = [] if self.met else [f"{self.figure / (self.aim or 1):.2f} times the aim"]
        if self.before is not None and self.figure > NOISE * self.before:
            said.append(f"was {self.before:.3g}")
        aim = "" if self.aim is None else f"{self.aim:g}"
        return "\t".join((self.name, f"{self.figure:.3g}", aim, ", ".join(said) or ("met" if aim else "")))


def aim(name: str) -> float | None:
    """The most that a figure may be."""
    return next((most for pattern, most in _AIMS if re.fullmatch(pattern, name)), None)


def rows(figures: dict[str, float], trend: Path = TREND) -> list[Row]:
    """Every figure beside its aim and the last one that was kept."""
    last = kept(trend)
    return [Row(name, figure, aim(name), last.get(name)) for name, figure in figures.items()]


def kept(trend: Path = TREND) -> dict[str, float]:
    """The figures of the last version that were kept, by name."""
    if not trend.exists():
        return {}
    with trend.open(encoding="utf-8", newline="") as file:
        return {row["name"]: float(row["figure"]) for row in csv.DictReader(file)}


def keep(figures: dict[str, float], version: str, trend: Path = TREND) -> None:
    """Add the figures of a version to those of the ones before it."""
    new = not trend.exists()
    with trend.open("a", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        if new:
            writer.writerow(("version", "name", "figure"))
        writer.writerows((version, name, f"{figure:.4g}") for name, figure in figures.items())
