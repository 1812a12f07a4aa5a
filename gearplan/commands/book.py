"""`gearplan book`: what was ridden where, found again in the book beside a bike's file."""

from __future__ import annotations

import argparse
from pathlib import Path

from gearplan.bike.book import TRACKS, doubts
from gearplan.bike.files.bikefile import read_bike
from gearplan.bike.files.bookfile import ENDING, Book, BookFileError, beside, read_book
from gearplan.commands.asked import Refused, json_argument, number, print_json
from gearplan.language import tr
from gearplan.plan.season.near import nearest, today_of, told
from gearplan.plan.season.search import find, read_question
from gearplan.plan.season.text import book_text, entry_values


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("book", help=tr("search the season's book: what was ridden where, and how quickly"))
    parser.add_argument(
        "file", metavar="FILE", help=tr("a .bike.toml file, beside which the book lies, or a .book.toml")
    )
    parser.add_argument("question", nargs="*", metavar="WORDS", help=tr('any words, such as heronfleet wet "25 °C"'))
    parser.add_argument("--circuit", default="", metavar="NAME", help=tr("only this circuit, which is also “here”"))
    parser.add_argument("--nearest", action="store_true", help=tr("order by how near it was to today; needs --circuit"))
    parser.add_argument("--temperature", type=number, metavar="C", help=tr("air today, else the profile's"))
    parser.add_argument("--track", choices=TRACKS, help=tr("the track today"))
    parser.add_argument("--fuel", type=number, metavar="LITRES", help=tr("fuel today"))
    parser.add_argument("--rider", metavar="NAME", help=tr("who rides today"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    path = Path(asked.file)
    book = opened_book(path if path.name.endswith(ENDING) else beside(path))
    if asked.nearest:
        _nearest(asked, book)
        return
    for option in ("temperature", "track", "fuel", "rider"):
        if getattr(asked, option) is not None:
            raise Refused(
                tr(
                    "--{option}: goes with --nearest; to search, write it among the words, such as “25 °C”",
                    option=option,
                )
            )
    question = read_question(" ".join(asked.question), asked.circuit)
    found = find(book.entries, question)
    if asked.circuit and not question.circuit:
        here = find(book.entries, read_question("here", asked.circuit))
        found = tuple(index for index in found if index in here)
    if asked.json:
        values = [entry_values(book.entries[index], index) | _lacks(book, index) for index in found]
        print_json({"entries": values, "notices": list(book.notices)})
        return
    print(book_text(book, found) if found else tr("Nothing found among {entries} entries.", entries=len(book.entries)))
    for notice in book.notices:
        print(tr("Notice: {notice}", notice=notice))


def _nearest(asked: argparse.Namespace, book: Book) -> None:
    """The outings at a circuit, the nearest to today first, with what differs."""
    if not asked.circuit:
        raise Refused(tr("--nearest: name the circuit with --circuit"))
    if asked.question:
        raise Refused(tr("{join}: words go without --nearest", join=" ".join(asked.question)))
    path = Path(asked.file)
    if path.name.endswith(ENDING):
        path = path.with_name(path.name.removesuffix(ENDING) + ".bike.toml")
    bike = read_bike(path).bike
    known = {"temperature_c": asked.temperature, "track": asked.track, "fuel_l": asked.fuel, "rider": asked.rider}
    found = nearest(book.entries, today_of(bike, asked.circuit, **known), bike)
    if asked.json:
        values = [
            entry_values(near.entry, near.index) | {"steps_apart": round(near.steps, 3), "differs": list(near.differs)}
            for near in found
        ]
        print_json({"nearest": values, "notices": list(book.notices)})
        return
    for near in found:
        print(
            tr(
                "{told}\n    today: {join}",
                told=told(near.entry),
                join=", ".join(near.differs) or tr("nothing that is known differs"),
            )
        )
    if not found:
        print(
            tr("No entry with gearing at {circuit} among {entries}.", circuit=asked.circuit, entries=len(book.entries))
        )
    for notice in book.notices:
        print(tr("Notice: {notice}", notice=notice))


def _lacks(book: Book, index: int) -> dict[str, list[str]]:
    return {"lacks": list(doubts(book.entries[index]))}


def opened_book(path: Path) -> Book:
    """A book that must be there; Refused if it is not or cannot be read."""
    if not path.exists():
        raise Refused(tr("{path}: there is no book here yet", path=path))
    try:
        return read_book(path)
    except BookFileError as refused:
        raise Refused(str(refused)) from refused
