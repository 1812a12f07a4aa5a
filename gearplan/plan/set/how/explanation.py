"""What an answer to "how?" consists of."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Explanation:
    """An answer to "how?": `inputs` are (name, value with unit) pairs."""

    title: str
    formula: str
    inputs: tuple[tuple[str, str], ...]
    result: str
    source: str
