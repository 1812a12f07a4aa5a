"""The catalogues of texts: `python -m making.language` brings each up to what the program says and compiles it.

`--missing ROOM…` prints what of some rooms (plan/chain, window) a language lacks, as a catalogue to be filled in;
`--take FILE` takes the translations of such a file. A catalogue is kept in the order of the rooms.
"""

from __future__ import annotations

import argparse
import ast
import io
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from babel.messages.catalog import Catalog, Message
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

from gearplan.language import CATALOGUES, LANGUAGES

PROGRAM = Path(__file__).parents[2] / "gearplan"
#: By the function that is called: which of its arguments is the text, which its plural, which the context.
_CALLS = {
    "tr": (0, None, None),
    "marked": (0, None, None),
    "trn": (0, 1, None),
    "counted": (1, 2, None),
    "trc": (1, None, 0),
}
_WIDTH = 120


class _Catalogue(Catalog):
    """With nothing in its head but what readers need, so that it is the same whoever makes it, and when."""

    @property
    def mime_headers(self) -> list[tuple[str, str]]:
        """What stands in its head."""
        return [
            ("Language", str(self.locale_identifier)),
            ("Plural-Forms", self.plural_forms),
            ("MIME-Version", "1.0"),
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Transfer-Encoding", "8bit"),
        ]

    @mime_headers.setter
    def mime_headers(self, _given: object) -> None:
        """What a file has there besides is not kept."""


@dataclass
class Text:
    """A text as the program has it: in English, with its plural and context if it has them, and where it stands."""

    english: str
    plural: str | None
    context: str | None
    rooms: list[str] = field(default_factory=list)

    @property
    def id(self) -> str | tuple[str, str]:
        """How a catalogue has it."""
        return self.english if self.plural is None else (self.english, self.plural)


def texts(rooms: tuple[str, ...] = ("",)) -> list[Text]:
    """Every text in the rooms, once each; ValueError for one whose values are already in it, or its context not."""
    found: dict[tuple[str | None, str], Text] = {}
    for path in sorted(PROGRAM.rglob("*.py")):
        place = path.relative_to(PROGRAM).as_posix()
        if not place.startswith(rooms) or place.startswith("language/"):
            continue
        for text in _in(ast.parse(path.read_text(encoding="utf-8")), place):
            known = found.setdefault((text.context, text.english), text)
            known.plural = known.plural or text.plural
            if place not in known.rooms:
                known.rooms.append(place)
    return list(found.values())


def _in(tree: ast.AST, place: str) -> Iterator[Text]:
    calls = [found for found in ast.walk(tree) if isinstance(found, ast.Call)]
    for call in sorted(calls, key=lambda found: (found.lineno, found.col_offset)):
        if not isinstance(call.func, ast.Name) or call.func.id not in _CALLS:
            continue
        at = [None if of is None or of >= len(call.args) else call.args[of] for of in _CALLS[call.func.id]]
        if isinstance(at[0], ast.Constant) and isinstance(at[0].value, str):
            if at[2] is not None and not isinstance(at[2], ast.Constant):
                raise ValueError(f"{place}, line {call.lineno}: a context must stand there as a text")
            plural, context = (str(part.value) if isinstance(part, ast.Constant) else None for part in at[1:])
            yield Text(at[0].value, plural, context, [place])
        elif isinstance(at[0], ast.JoinedStr):
            raise ValueError(f"{place}, line {call.lineno}: a catalogue has no text that is already filled in")


def brought_up(language: str, rooms: tuple[str, ...] = ("",), *, missing: bool = False) -> Catalog:
    """The catalogue of a language as the program asks for it now: with what is translated, or only what is not."""
    known = kept(language)
    made = _empty(language)
    for text in texts(rooms):
        told = known.get(text.id, text.context)
        string = _as_asked(told, text.plural is not None)
        if missing and string:
            continue
        made.add(text.id, string, [(room, 0) for room in text.rooms], context=text.context)
    return made


def kept(language: str) -> Catalog:
    """The catalogue as it lies in the folder; an empty one if there is none."""
    path = CATALOGUES / f"{language}.po"
    if not path.exists():
        return _empty(language)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def _empty(language: str) -> Catalog:
    return _Catalogue(locale=language, header_comment="", fuzzy=False)


def _as_asked(told: Message | None, inflected: bool) -> str | tuple[str, ...] | None:
    """A translation with as many forms as the program asks for now; None if it has none."""
    if told is None or not translated(told):
        return None
    forms = told.string if isinstance(told.string, tuple) else (told.string,)
    if inflected:
        return tuple(map(str, forms)) if len(forms) > 1 else None
    return str(forms[0])


def translated(message: Message) -> bool:
    """Whether all forms of a message have been told in the catalogue's language."""
    string = message.string
    return all(string) if isinstance(string, (tuple, list)) else bool(string)


def written(catalogue: Catalog) -> bytes:
    """A catalogue as text."""
    for message in catalogue:
        # A share is no format of Python's older kind.
        message.flags.discard("python-format")
    file = io.BytesIO()
    write_po(file, catalogue, width=_WIDTH, include_lineno=False)
    return file.getvalue()


def compiled(catalogue: Catalog) -> bytes:
    """A catalogue as the program reads it."""
    file = io.BytesIO()
    write_mo(file, catalogue)
    return file.getvalue()


def main() -> int:
    """Do what is asked for; returns the exit code."""
    parser = argparse.ArgumentParser(prog="python -m making.language", description=__doc__)
    parser.add_argument("--missing", nargs="*", metavar="ROOM")
    parser.add_argument("--take", type=Path, metavar="FILE")
    asked = parser.parse_args()
    CATALOGUES.mkdir(parents=True, exist_ok=True)
    for language in LANGUAGES:
        if language == "en":
            continue
        if asked.missing is not None:
            rooms = tuple(asked.missing) or ("",)
            sys.stdout.buffer.write(written(brought_up(language, rooms, missing=True)))
            continue
        made = brought_up(language)
        if asked.take is not None:
            with asked.take.open("rb") as file:
                taken = read_po(file, locale=language)
            for message in made:
                told = taken.get(message.id, message.context) if message.id else None
                message.string = _as_asked(told, isinstance(message.id, tuple)) or message.string
        (CATALOGUES / f"{language}.po").write_bytes(written(made))
        (CATALOGUES / f"{language}.mo").write_bytes(compiled(made))
        lacking = sum(1 for message in made if message.id and not translated(message))
        print(f"{language}: {len(made)} texts, {lacking} not translated")
    return 0


if __name__ == "__main__":
    sys.exit(main())
