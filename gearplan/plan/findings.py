"""Findings: statements with a verdict, each with its number, its limit and where the limit comes from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal

from gearplan.bike.text.written import inside, listed
from gearplan.language import marked, tr

Level = Literal["fits", "check", "does not fit"]

LEVELS: tuple[Level, ...] = (marked("fits"), marked("check"), marked("does not fit"))


@dataclass(frozen=True, slots=True)
class Finding:
    """One statement about a drive set.

    `about` is its subject, by which the program goes: it stays English, `tr` tells it. `value` and `limit` are in
    `unit`, the one in which the text names them; None where there is no number.
    `field` names the place in the profile, as "section.key", that would settle the matter, if there is one; `also`
    further places that are needed. `short` is what a customer is told of it, without a full stop; empty for
    the text.
    `aside` marks what is worth knowing but decides nothing about the set: the verdict leaves it out. `sure` says that
    the level stays the same wherever the inputs lie within their doubt; where something is missing it is not.
    """

    level: Level
    about: str
    text: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    field: str = ""
    aside: bool = False
    also: tuple[str, ...] = ()
    short: str = ""
    sure: bool = True

    @property
    def lacks_entries(self) -> bool:
        """Whether nothing can be said until more is entered."""
        return bool(self.field) and not self.sure and self.value is None

    @property
    def for_file(self) -> str:
        """The text for whoever edits the file instead of a form: with the names of the fields in it."""
        fields = ", ".join("[{}] {}".format(*path.split(".")) for path in (self.field, *self.also) if path)
        return f"{self.text} {tr('In the file: {fields}.', fields=fields)}" if fields else self.text


def level_words(level: Level) -> str:
    """A level as a person is told it, within a sentence or before a colon: "does not fit"."""
    return tr(level)


def probably(text: str) -> str:
    """A sentence that is not sure."""
    return tr("Probably {sentence}", sentence=inside(text)) if text else ""


def worst(findings: Iterable[Finding]) -> Level:
    """The level that the whole set earns: that of its worst finding, "fits" when there is none."""
    return max((f.level for f in findings if not f.aside), key=LEVELS.index, default="fits")


def in_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings, the gravest first, otherwise in the order given."""
    return tuple(sorted(findings, key=lambda f: (f.aside, -LEVELS.index(f.level))))


def missing(about: str, wanted: str, fields: Iterable[tuple[str, str]], *, aside: bool = False) -> Finding:
    """What cannot be computed for lack of data: names each field to fill as (section.key, label).

    What is wanted begins the sentence in English and follows a colon in other languages, as the labels do.
    """
    named = list(fields)
    text = tr(
        "{wanted} cannot be computed yet: enter {fields}.", wanted=wanted, fields=listed(label for _, label in named)
    )
    also = tuple(path for path, _ in named[1:])
    return Finding("check", about, text, field=named[0][0], aside=aside, also=also, sure=False)


def finding_values(finding: Finding) -> dict[str, Any]:
    """One finding for JSON."""
    return {
        "level": finding.level,
        "about": finding.about,
        "text": finding.text,
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "source": finding.source,
        "field": finding.field or None,
        "also": list(finding.also),
        "aside": finding.aside,
        "sure": finding.sure,
    }
