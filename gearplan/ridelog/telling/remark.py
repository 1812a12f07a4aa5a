"""What a log tells, in words with its number and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["fits", "check"]


@dataclass(frozen=True, slots=True)
class Remark:
    """One statement: "fits" agrees with the profile or is plainly known, "check" is for a person to look at.

    `value`, `low` and `high` (95 % interval) are in `unit`; `field` names a place of the profile, "section.key".
    `one_of` says that it is one of several that exclude each other.
    """

    level: Level
    about: str
    text: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    source: str = ""
    field: str = ""
    one_of: bool = False
