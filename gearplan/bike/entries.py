"""What is known of an entered value by itself: its name in words, its kind, its unit and the bounds of sense."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import Field, dataclass, field, fields
from functools import cache
from typing import Any, Literal

Kind = Literal["number", "whole", "text", "choice", "ratio", "ratios", "pair", "points", "tyre", "chain"]

#: A ratio as entered: the number itself, or (driver, driven) teeth, one of which may still be missing.
Ratio = float | tuple[int | None, int | None]
Pair = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of one entered value: its name in words, its unit and the bounds of sense.

    `low` and `high` are inclusive and mark the absurd, not the unwise: a value outside is refused.
    `parts` names the two halves of a pair; `most` bounds the second number of points.
    `share` marks a fraction without a unit that may be typed in percent.
    """

    label: str
    kind: Kind = "number"
    unit: str = ""
    low: float = 0.0
    high: float = 0.0
    example: str = ""
    choices: tuple[str, ...] = ()
    parts: tuple[str, str] = ("", "")
    most: float = 0.0
    share: bool = False

    @property
    def measure(self) -> str:
        """The unit for reading what is typed, as `units.measured_in` takes it."""
        return "share" if self.share else self.unit


def entered(
    label: str, kind: Kind, unit: str = "", low: float = 0, high: float = 0, *, private: bool = False, **more: Any
) -> Any:
    """A field of a class whose fields are entries; None where nothing is entered.

    What is `private` is left out where the class is told in a failure.
    """
    return field(default=None, repr=not private, metadata={"entry": Entry(label, kind, unit, low, high, **more)})


@cache
def entry_in(kind: type, key: str) -> Entry:
    """The entry of one field of a class whose fields are entries; KeyError if there is none."""
    for f in fields(kind):
        if f.name == key:
            return _entry_of(f)
    raise KeyError(f"{kind.__name__}.{key}")


def entries_in(kind: type) -> Iterator[tuple[str, Entry]]:
    """The fields of a class in their order, as (key, entry); fields that are no entries are left out."""
    for f in fields(kind):
        if "entry" in f.metadata:
            yield f.name, _entry_of(f)


def _entry_of(f: Field[Any]) -> Entry:
    found: Entry = f.metadata["entry"]
    return found
