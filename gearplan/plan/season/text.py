"""The book and a season's ranking as text for people and as values for JSON."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from gearplan.bike.book import BookEntry, book_entries
from gearplan.bike.files.bookfile import Book
from gearplan.bike.text.written import lap_time, listed, number
from gearplan.language import decimal, tr, trn
from gearplan.plan.laps.rides import NEAR_ENOUGH
from gearplan.plan.laps.spread import chosen_word
from gearplan.plan.season.series import Season
from gearplan.plan.season.start import Start
from gearplan.plan.words import NOT_ADVICE, teeth


def entry_cells(entry: BookEntry) -> tuple[str, ...]:
    """An outing in the cells of a table: day, circuit, set, links, lap, air, track, rider."""
    return (
        entry.day.isoformat() if entry.day else "–",
        entry.circuit or "–",
        f"{entry.front}/{entry.rear}" if entry.has_gearing else tr("no gearing"),
        str(entry.links or "–"),
        lap_time(entry.lap_s) if entry.lap_s is not None else "–",
        number(entry.temperature_c),
        entry.track or "–",
        entry.rider or "–",
    )


#: The heads over `entry_cells`.
ENTRY_HEADS = (tr("day"), tr("circuit"), tr("set"), tr("links"), tr("lap"), "°C", tr("track"), tr("rider"))


def entry_values(entry: BookEntry, index: int) -> dict[str, Any]:
    """An outing for JSON: the keys of the file, and its number in it from 1."""
    values = {key: getattr(entry, key) for key, _ in book_entries()}
    values["day"] = entry.day.isoformat() if entry.day else None
    return {"number": index + 1} | {key: None if value == "" else value for key, value in values.items()}


def book_text(book: Book, found: Sequence[int]) -> str:
    """The outings found as a table for people, each with its notes."""
    rows = [ENTRY_HEADS, *(entry_cells(book.entries[index]) for index in found)]
    widths = [max(len(row[column]) for row in rows) for column in range(len(ENTRY_HEADS))]
    lines = []
    for number_in_list, row in enumerate(rows):
        lines.append("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
        if number_in_list and (notes := book.entries[found[number_in_list - 1]].notes):
            lines += [f"    {line}" for line in notes.split("\n") if line]
    count = len(book.entries)
    if len(found) == count:
        return "\n".join([*lines, "", trn("{n} entry.", "{n} entries.", count)])
    return "\n".join([*lines, "", trn("{found} of {n} entry.", "{found} of {n} entries.", count, found=len(found))])


def start_values(start: Start | None) -> dict[str, Any] | None:
    """Where the book says to start, for JSON."""
    if start is None:
        return None
    return {
        "entry": entry_values(start.near.entry, start.near.index),
        "steps_apart": round(start.near.steps, 3),
        "differs": list(start.near.differs),
        "lap_s_today": None if start.time is None else round(start.time, 4),
        "text": start.text,
    }


def season_reason(season: Season) -> str:
    """Which set to take for all circuits, what it costs and which circuit pays, in words."""
    sets, row = season.rankings[0].sets, season.chosen
    besides = sets.besides(row)
    one = f"{teeth(sets.set_at(row))}{f' ({besides})' if besides else ''}"
    circuits = [_name(season, c) for c in range(len(season.rankings))]
    each = ", ".join(decimal(f"{name} {loss:.2f} s") for name, loss in zip(circuits, season.loss[:, row], strict=True))
    often = tr("in 19 of 20 cases at most ") if season.doubts else ""
    told = tr(
        "Over {listed} {one} loses least against the quickest set of each: {total:.2f} s in all as entered "
        "({each}), {often}{worst:.2f} s.",
        listed=listed(circuits),
        one=one,
        total=season.total[row],
        each=each,
        often=often,
        worst=season.worst[row],
    )
    payer = season.payer(row)
    if season.loss[payer, row] >= NEAR_ENOUGH:
        told += tr(" {circuits} pays for it.", circuits=circuits[payer])
    fitted = season.fitted
    if fitted is not None and season.leave:
        told = tr(
            "Leave it: nothing that can be told apart is gained over the fitted {teeth}. {told}",
            teeth=teeth(sets.set_at(fitted)),
            told=told,
        )
    others = len(season.tied) - 1
    if others:
        told += trn(" {n} more set is tied with it.", " {n} more sets are tied with it.", others)
    return told


def season_text(season: Season, most: int = 20) -> str:
    """The season's ranking as a table for people."""
    sets = season.rankings[0].sets
    names = [_name(season, c) for c in range(len(season.rankings))]
    widths = [max(len(name), 6) for name in names]
    lines = [tr("      set    links   total  ") + "  ".join(n.rjust(w) for n, w in zip(names, widths, strict=True))]
    tied = set(season.tied.tolist())

    def line(place: str, row: int) -> str:
        one = sets.set_at(row)
        mark = "*" if row == season.chosen else "=" if row in tied or (row == season.fitted and season.leave) else " "
        losses = "  ".join(f"{loss:{w}.2f}" for loss, w in zip(season.loss[:, row], widths, strict=True))
        links = "–" if one.links is None else str(one.links)
        start = decimal(f"{place + mark:>5} {teeth(one):<6} {links:>5}  {season.total[row]:6.2f}  ")
        return f"{start}{losses}  {sets.besides(row)}".rstrip()

    rows = season.order[:most].tolist()
    lines += [line(str(place), row) for place, row in enumerate(rows, 1)]
    if season.chosen not in rows:
        lines.append(line("…", season.chosen))
    if season.fitted is not None:
        lines.append(line(tr("now"), season.fitted))
    lines += [
        tr("Seconds lost against the quickest set of each circuit, one lap of each. * the one to take, = tied"),
        "",
    ]
    lines += [season_reason(season)]
    if season.note:
        lines.append(season.note)
    if season.doubts:
        lines.append(tr("In doubt: {listed}.", listed=listed(season.doubts)))
    for ranking in season.rankings:
        lines += [f"{ranking.circuit.name or tr('Unnamed circuit')}: {note}" for note in ranking.notes]
    return "\n".join([*lines, NOT_ADVICE])


def season_heads(circuits: Sequence[str], *, pairs: bool = False) -> tuple[str, ...]:
    """The heads over `season_row`; losses are in seconds. `pairs`: gear pairs and the like are told too."""
    names = (name or tr("circuit {n}", n=n) for n, name in enumerate(circuits, 1))
    return "", tr("set"), tr("links"), tr("lost, s"), *names, *((tr("besides"),) if pairs else ())


def season_row(season: Season, row: int, *, pairs: bool = False) -> tuple[str, ...]:
    """A set in the cells of a table: what it is, set, links, its loss in all and on each circuit, and its `pairs`."""
    one = season.rankings[0].sets.set_at(row)
    is_fitted = row == season.fitted
    names = (
        chosen_word(leave=season.leave) if row == season.chosen else "",
        "fitted" if is_fitted else "",
        tr("tied") if row in season.tied and row != season.chosen else "",
    )
    return (
        ", ".join(filter(None, names)),
        teeth(one),
        "–" if one.links is None else str(one.links),
        number(float(season.total[row]), 1, 2),
        *(number(float(loss), 1, 2) for loss in season.loss[:, row]),
        *((season.rankings[0].sets.besides(row),) if pairs else ()),
    )


def season_values(season: Season, most: int | None = None) -> dict[str, Any]:
    """The season's ranking for JSON; losses in the order of `circuits`."""
    sets, tied = season.rankings[0].sets, set(season.tied.tolist())

    def values(row: int) -> dict[str, Any]:
        one = sets.set_at(row)
        worst = float(season.worst[row])
        return {
            "front": one.front,
            "rear": one.rear,
            "links": one.links,
            "besides": sets.besides(row),
            "gears": [round(ratio, 6) for ratio in sets.boxes[sets.box[row]].tolist()],
            "total_loss_s": round(float(season.total[row]), 5),
            "loss_s": [round(loss, 5) for loss in season.loss[:, row].tolist()],
            "worst_twentieth_s": None if np.isnan(worst) else round(worst, 4),
            "lap_s": [round(float(ranking.time[row]), 5) for ranking in season.rankings],
            "tied": row in tied,
            "fits": bool(sets.level[row] < 2),
        }

    fitted = season.fitted
    return {
        "circuits": [ranking.circuit.name for ranking in season.rankings],
        "ranking": [values(row) for row in season.order[:most].tolist()],
        "fitted": None if fitted is None else values(fitted) | {"tied": season.leave},
        "advice": values(season.chosen)
        | {
            "leave": season.leave,
            "pays": season.rankings[season.payer(season.chosen)].circuit.name,
            "reason": season_reason(season),
        },
        "notes": [*filter(None, [season.note]), *(note for ranking in season.rankings for note in ranking.notes)],
    }


def _name(season: Season, index: int) -> str:
    return season.rankings[index].circuit.name or tr("circuit {index}", index=index + 1)
