"""Finding outings in the book by any words, a circuit, and how warm it was."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass

from gearplan.bike.book import BookEntry, book_entries
from gearplan.bike.text.written import gear, lap_time
from gearplan.plan.season.near import STEPS, same_circuit

#: A temperature in a question: "25 °C", "25°", "77 °F", "at 25 degrees".
_DEGREES = re.compile(r"(?<![\w.,])([+\-−]?\d+(?:[.,]\d+)?)\s*(?:°\s*([CF])?|degrees\b|([CF])\b)", re.IGNORECASE)
#: Words of a question that say nothing about what is looked for.
_SMALL = (
    " a about an and around at be did do find for from had have here how i in is it last me near nearly of on or our "
    "ran ride rode run set the then there to today us was we were what when where which with year "
    "als am an auf bei beim da das dem den der die ein eine im in ist mit nahe nach sind und vom von wann war waren "
    "was welche welcher welches wenn wie wir wo "
)


@dataclass(frozen=True, slots=True)
class Question:
    """What is looked for: every one of `words`, a circuit (empty for any), and an air temperature (°C)."""

    words: tuple[str, ...] = ()
    circuit: str = ""
    temperature_c: float | None = None


def read_question(text: str, here: str = "") -> Question:
    """A question as typed: words, a temperature with its degrees, and "here" for the circuit at hand."""
    wanted = None
    if found := _DEGREES.search(text):
        value = float(found[1].replace(",", ".").replace("−", "-"))
        fahrenheit = (found[2] or found[3] or "C").upper() == "F"
        wanted = (value - 32) / 1.8 if fahrenheit else value
        text = text[: found.start()] + " " + text[found.end() :]
    words = [word.strip("?!,;:“”\"'()") for word in _folded(text).split()]
    circuit = here if "here" in words else ""
    return Question(tuple(word for word in words if word and f" {word} " not in _SMALL), circuit, wanted)


def find(entries: Sequence[BookEntry], question: Question) -> tuple[int, ...]:
    """Indices of the entries that answer a question: the nearest temperature first if one is asked, else the newest.

    Near in temperature is within one of `near.STEPS`; entries that do not tell it come last.
    """
    found = []
    for index, entry in enumerate(entries):
        if question.circuit and not same_circuit(entry.circuit, question.circuit):
            continue
        text = _all_of(entry)
        if not all(word in text for word in question.words):
            continue
        off = 0.0
        if question.temperature_c is not None:
            known = entry.temperature_c
            off = STEPS["temperature_c"] if known is None else abs(known - question.temperature_c)
            if off > STEPS["temperature_c"]:
                continue
        found.append((off, -(entry.day.toordinal() if entry.day else 0), -index, index))
    return tuple(index for *_, index in sorted(found))


def _all_of(entry: BookEntry) -> str:
    """Everything that stands in an entry, as one text in small letters without accents."""
    parts = []
    for key, _ in book_entries():
        value = getattr(entry, key)
        if value is None or value == "":
            continue
        if key == "lap_s":
            parts.append(lap_time(value))
        elif key == "gears":
            parts += [gear(ratio) for ratio in value if ratio is not None]
        else:
            parts.append(str(value))
    if entry.has_gearing:
        parts.append(f"{entry.front}/{entry.rear}")
    return _folded(" ".join(parts))


def _folded(text: str) -> str:
    """Small letters without accents."""
    return "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
