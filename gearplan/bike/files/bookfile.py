"""The book's file: TOML, format 1, one [[entry]] for each outing, beside the bike's file.

What stands in the file is the book: an edit changes the text of one entry and nothing else, so that comments, order
and keys that are not known stay. A value that cannot be right is named and left as it stands; it counts as not
entered. Comment lines directly above an [[entry]] belong to it.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import zip_longest
from pathlib import Path
from typing import Any

from gearplan.bike.book import BookEntry, as_written, book_entries, check_book_value
from gearplan.bike.files.earlier import replace_keeping
from gearplan.bike.files.lock import alone
from gearplan.bike.files.tomltext import Kind, blocks, first_of, formed_like, plain, unknown
from gearplan.language import tr

FORMAT = 1
ENDING = ".book.toml"
_KEYS = tuple(key for key, _ in book_entries())
_BLANK = BookEntry()


class BookFileError(ValueError):
    """A book that cannot be read or written; the message is one line that names file, place and what is right."""


class BookChangedOnDisk(BookFileError):
    """The file holds something else than when it was read."""


_KIND = Kind("book", FORMAT, BookFileError)


@dataclass(frozen=True, slots=True)
class Book:
    """A book as read: `text` exactly as it stands in the file, `notices` about what was odd but readable."""

    entries: tuple[BookEntry, ...] = ()
    text: str = ""
    notices: tuple[str, ...] = ()


def beside(bike: Path) -> Path:
    """The file of the book that belongs to a bike's file: corvid.book.toml beside corvid.bike.toml."""
    stem = bike.name.removesuffix(".toml").removesuffix(".bike")
    return bike.parent / f"{stem}{ENDING}"


def read_book(path: Path) -> Book:
    """Read a book; an empty one where there is no file yet. BookFileError names what is wrong and where."""
    if not path.exists():
        return Book()
    return book_from_text(_KIND.text(path), str(path))


def book_from_text(text: str, place: str) -> Book:
    """Read a book from TOML text; `place` names it in messages. Entries count from 1 in them."""
    read = _KIND.tables(text, place)
    given = read.get("entry", [])
    headed = isinstance(given, list) and all(isinstance(table, dict) for table in given)
    if not headed or len(blocks(plain(text), "entry")[1]) != len(given):
        raise BookFileError(tr("{place}: each entry must be headed [[entry]]", place=place))
    if not given and "gearbox" in read:
        raise BookFileError(
            tr("{place}: this is a bike file; its book is {name}", place=place, name=beside(Path(place)).name)
        )
    entries, notices = (
        [],
        [f"{place}: {told}" for told in first_of(unknown(name, ("entry", "format")) for name in _others(read))],
    )
    for number, table in enumerate(given, 1):
        entry, odd = _entry(table)
        entries.append(entry)
        name = tr("entry {number}{part}", number=number, part=f" ({entry.headed})" if entry.headed else "")
        notices += [f"{place}: {name}: {text}" for text in odd]
    return Book(tuple(entries), text, tuple(notices))


def added(book: Book, entry: BookEntry) -> Book:
    """The book with one more entry at its end."""
    before = plain(book.text) or f"format = {FORMAT}\n"
    apart = "" if before.endswith("\n") else "\n"
    return _reread(book, f"{before}{apart}{_written(entry, _BLANK, '[[entry]]' + chr(10), new=True)}")


def changed(book: Book, index: int, entry: BookEntry) -> Book:
    """The book with another entry in place of one (from 0); only the values that differ are written."""
    if entry == book.entries[index]:
        return book
    head, texts, rest = blocks(plain(book.text), "entry")
    texts[index] = _written(entry, book.entries[index], texts[index])
    return _reread(book, head + "".join(texts) + rest)


def without(book: Book, index: int) -> Book:
    """The book without one entry (from 0), its comment lines gone with it."""
    head, texts, rest = blocks(plain(book.text), "entry")
    del texts[index]
    return _reread(book, head + "".join(texts) + rest)


def merged(known: Book, ours: Book, theirs: Book) -> tuple[Book, int]:
    """(A book with what two hands made of the known one, how many entries stand in it twice).

    An entry that both changed stands there as each of them left it; one that only one of them took out stays if the
    other changed it, so that nothing is lost.
    """
    was, own, other = (blocks(plain(book.text), "entry") for book in (known, ours, theirs))
    # Blank lines after an entry are none of it.
    before, after, there = ([text.rstrip() for text in found[1]] for found in (was, own, other))
    mine, my_more = _fates(before, after)
    others, their_more = _fates(before, there)
    texts, twice = list[str](), 0
    for place, text in enumerate([*before, None]):
        texts += their_more[place] + [new for new in my_more[place] if new not in their_more[place]]
        if text is not None:
            left = [one for one in dict.fromkeys((others[place], mine[place])) if one != text] or [text]
            kept = [one for one in left if one is not None]
            twice += len(kept) > 1
            texts += kept
    head = (own[0] if other[0] == was[0] else other[0]).strip()
    rest = (own[2] if other[2] == was[2] else other[2]).strip()
    return _reread(theirs, "\n\n".join(filter(None, (head, *texts, rest))) + "\n"), twice


def _fates(before: Sequence[str], after: Sequence[str]) -> tuple[list[str | None], list[list[str]]]:
    """(What became of each text, None if it is gone; what is new before each, and at the end)."""
    became: list[str | None] = list(before)
    more: list[list[str]] = [[] for _ in range(len(before) + 1)]
    for _, first, end, start, stop in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        for place, text in zip_longest(range(first, end), after[start:stop]):
            if place is None:
                more[end].append(text)
            else:
                became[place] = text
    return became, more


def save_book(path: Path, book: Book, known: Book) -> None:
    """Write a book in place of the `known` one that was read.

    BookChangedOnDisk if the file no longer holds that one, OSError if it cannot be written; it is then as it was.
    """
    with alone(path):
        there = _KIND.text(path) if path.exists() else ""
        if there != known.text:
            raise BookChangedOnDisk(tr("{path}: something else has changed this file since it was read", path=path))
        replace_keeping(path, book.text.encode("utf-8"))


def _reread(book: Book, text: str) -> Book:
    return book_from_text(formed_like(book.text, text), tr("the book"))


def _others(read: dict[str, Any]) -> Iterator[str]:
    return (name for name in read if name not in ("format", "entry"))


def _entry(table: dict[str, Any]) -> tuple[BookEntry, list[str]]:
    """The entry of a table, and what is told of values that were left out."""
    found: dict[str, Any] = {}
    odd = first_of(unknown(key, _KEYS) for key in table if key not in _KEYS)
    for key in _KEYS:
        if key not in table:
            continue
        value = as_written(key, table[key])
        if fault := check_book_value(key, value):
            odd.append(tr("{key}: {fault} (left as it stands)", key=key, fault=fault))
        else:
            found[key] = value
    return BookEntry(**found), odd


def _written(entry: BookEntry, before: BookEntry, text: str, *, new: bool = False) -> str:
    """The text of one entry with the values that differ from before."""
    import tomlkit

    doc = tomlkit.parse(text)
    tables: Any = doc["entry"]
    table = tables[0]
    for key in _KEYS:
        value = getattr(entry, key)
        if value == getattr(before, key):
            continue
        if value is None or value == "":
            table.pop(key, None)
        else:
            table[key] = _item(value)
    made = tomlkit.dumps(doc)
    return f"\n{made}" if new else made


def _item(value: object) -> Any:
    import tomlkit

    if (
        isinstance(value, str)
        and "\n" in value
        and not any(line.lstrip().startswith("[") for line in value.split("\n"))
    ):
        # On lines of its own, unless one of them could be taken for a heading.
        return tomlkit.string(value, multiline=True)
    if isinstance(value, datetime.date):
        return tomlkit.date(value.isoformat())
    return tomlkit.item(_plain(value))


def _plain(value: Any) -> Any:
    if value is None:
        return ""
    if isinstance(value, tuple):
        return [_plain(part) for part in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
