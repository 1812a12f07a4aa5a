"""What all files in TOML have in common: reading the text, what is told of faults, and keeping its outer form."""

from __future__ import annotations

import difflib
import itertools
import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NoReturn

from gearplan.bike.files.ordinary import read_file, why
from gearplan.bike.text.written import shortened
from gearplan.language import tr

_LARGEST = 1_000_000
#: So many faults are told at once, if they have room in so many letters; the file's name comes beside them.
_TOLD_AT_ONCE, _LONGEST_TOLD = 3, 280
#: What is nested deeper is read slowly, and cannot be written again by the library that keeps the comments.
_DEEPEST = 20
#: Of unknown names so many are told, each with the nearest known one: looking for it takes time, and nobody reads more.
_MOST_UNKNOWN = 20
_BOM = "\ufeff"
_HEADER = re.compile(r"^\s*(?P<open>\[\[?)\s*(?P<name>[^\[\],=#]+?)\s*\]\]?\s*(#.*)?$")


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of file: what it is called in messages ("bike"), its newest format and the error that refuses one."""

    name: str
    format: int
    refusal: type[ValueError]

    def text(self, path: Path) -> str:
        """The text of a file; the refusal in one line if it cannot be read."""
        try:
            return read_file(path, _LARGEST).decode("utf-8")
        except IsADirectoryError as failed:
            raise self.refusal(
                tr("{path}: {why}; name a .{name}.toml file in it", path=path, why=why(failed), name=self.name)
            ) from failed
        except (OSError, ValueError) as failed:
            raise self.refusal(f"{path}: {why(failed)}") from failed

    def tables(self, text: str, place: str) -> dict[str, Any]:
        """What stands in the text, in a format that this version reads; `place` names it in the refusal."""
        for number, line in enumerate(text.splitlines(), 1):
            if line.partition("=")[0].count(".") > _DEEPEST:
                raise self.refusal(
                    tr(
                        "{place}: line {number}: a name of more than {deepest} parts",
                        place=place,
                        number=number,
                        deepest=_DEEPEST,
                    )
                )
        try:
            read = tomllib.loads(plain(text))
            if _depth(read) > _DEEPEST:
                raise ValueError(tr("tables more than {deepest} deep in one another", deepest=_DEEPEST))
        except (RecursionError, ValueError) as broken:
            raise self.refusal(
                tr(
                    "{place}: not a readable {name} file: {shortened}",
                    place=place,
                    name=self.name,
                    shortened=shortened(str(broken)),
                )
            ) from broken
        if not read:
            raise self.refusal(tr("{place}: the file is empty: there is no {name} in it", place=place, name=self.name))
        given, newest = read.get("format"), self.format
        if given is None:
            raise self.refusal(
                tr(
                    "{place}: the line “format = {newest}” is missing at the top: is this a {name} file?",
                    place=place,
                    newest=newest,
                    name=self.name,
                )
            )
        if isinstance(given, bool) or not isinstance(given, int) or given < 1:
            raise self.refusal(
                tr("{place}: format must be a whole number, format = {newest}", place=place, newest=newest)
            )
        if given > newest:
            raise self.refusal(
                tr(
                    "{place}: made by a newer version: format {shortened}, this version reads up to {newest}",
                    place=place,
                    shortened=shortened(str(given)),
                    newest=newest,
                )
            )
        return read

    def refuse(self, place: str, faults: list[str]) -> NoReturn:
        """Raise the refusal with the first faults in one line, and how many more there are."""
        told = shortened(faults[0])[:_LONGEST_TOLD]
        here = 1
        while here < min(len(faults), _TOLD_AT_ONCE) and len(told) + len(faults[here]) < _LONGEST_TOLD:
            told += f"; {faults[here]}"
            here += 1
        told += tr("; and {faults} more", faults=len(faults) - here) if len(faults) > here else ""
        raise self.refusal(f"{place}: {told}".replace("\n", " "))


def _depth(read: object) -> int:
    """How deep tables and arrays lie in one another."""
    deep, here = 0, [read]
    while here:
        inner: list[object] = []
        for table in here:
            inner += table.values() if isinstance(table, dict) else table if isinstance(table, list) else ()
        here = inner
        deep += bool(here)
    return deep


def plain(text: str) -> str:
    """The text without a byte order mark, its lines ended by a line feed."""
    return text.removeprefix(_BOM).replace("\r\n", "\n")


def formed_like(old: str, written: str) -> str:
    """A plain text with the byte order mark and the line ends of the text that it takes the place of."""
    return (_BOM if old.startswith(_BOM) else "") + (written.replace("\n", "\r\n") if "\r\n" in old else written)


def unknown(name: str, known: Iterable[str]) -> str:
    """What is told of a name that stands in a file and is not known."""
    near = difflib.get_close_matches(name, list(known), 1, 0.6)
    guess = tr("; did you mean “{near}”?", near=near[0]) if near else ""
    return tr("“{name}” is not known and is left as it is{guess}", name=name, guess=guess)


def first_of(told: Iterable[str]) -> list[str]:
    """The first of what is told of unknown names, and that there are more."""
    rest = iter(told)
    found = list(itertools.islice(rest, _MOST_UNKNOWN))
    return [*found, tr("more names than these are not known")] if next(rest, None) is not None else found


def blocks(plain: str, of: str) -> tuple[str, list[str], str]:
    """(What stands before the tables headed [[of]], the text of each, other tables that stand between or after them).

    Comment lines directly above a heading belong to it, but at the very top to the whole file.
    """
    parts: list[tuple[str, list[str]]] = [("head", [])]
    for line in plain.splitlines(keepends=True):
        header = _HEADER.match(line)
        name = header["name"].strip("\"'") if header else ""
        if header and not name.startswith(f"{of}."):
            kind = of if name == of and header["open"] == "[[" else "other"
            if kind == of or parts[-1][0] != "head":
                above = parts[-1][1]
                start = len(above)
                while start and above[start - 1].lstrip().startswith("#"):
                    start -= 1
                # At the very top a comment tells of the whole file.
                start = len(above) if start == 0 and len(parts) == 1 else start
                moved = above[start:]
                del above[start:]
                parts.append((kind, [*moved, line]))
                continue
        parts[-1][1].append(line)
    texts = [(kind, "".join(lines)) for kind, lines in parts]
    joined = [text if text.endswith("\n") else text + "\n" for kind, text in texts if kind == of]
    return texts[0][1], joined, "".join(text for kind, text in texts[1:] if kind == "other")
