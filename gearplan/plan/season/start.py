"""Where to start today: the nearest outing in the book, in what today differs, and how its set does now."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gearplan.bike.book import BookEntry
from gearplan.bike.profile import Bike
from gearplan.bike.text.written import computed_lap, signed_percent
from gearplan.language import tr
from gearplan.plan.findings import Finding
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.spread import Plateau, advised
from gearplan.plan.laps.text import same_set, tied_rows
from gearplan.plan.laps.view import set_ranking
from gearplan.plan.season.near import Near, drive_set, nearest, told
from gearplan.plan.words import teeth


@dataclass(frozen=True, slots=True)
class Start:
    """The nearest outing, the lap that its set comes to today (s, None where it cannot be computed), and the advice.

    `time` is with the gearbox that is in the bike.
    """

    near: Near
    time: float | None
    text: str


def start_from(
    entries: Sequence[BookEntry], today: BookEntry, ranking: LapRanking, tied: Plateau | None
) -> Start | None:
    """The advice that starts from the book; None where no outing at today's circuit has its gearing."""
    bike = ranking.sets.bike
    found = nearest(entries, today, bike)
    if not found:
        return None
    near = found[0]
    row = _row(near.entry, ranking)
    time = float(ranking.time[row]) if row is not None else _own_lap(near.entry, ranking)
    sentences = [tr("Start from the book: {told}.", told=told(near.entry))]
    sentences.append(
        tr("Today differs: {join}.", join=", ".join(near.differs))
        if near.differs
        else tr("Nothing that is known differs.")
    )
    if time is not None and not np.isnan(time):
        sentences.append(_compared(bike, near.entry, row, time, ranking, tied))
    return Start(near, time, " ".join(sentences))


def _compared(
    bike: Bike, entry: BookEntry, row: int | None, time: float, ranking: LapRanking, tied: Plateau | None
) -> str:
    """How the set of that day does today, against the one that is advised, in the words of the advice."""
    then = tr("Its {teeth} comes to {time} today", teeth=teeth(drive_set(entry, bike)), time=computed_lap(time))
    if tied is None:
        return f"{then}."
    taken = advised(ranking, tied)
    one = ranking.sets.set_at(taken)
    if row is not None and same_set(ranking.sets.set_at(row), one):
        return tr(
            "{then} and is {text}.",
            then=then,
            text=tr("what is fitted: leave it") if tied.leave else tr("still the one to take"),
        )
    if row is not None and row in tied_rows(ranking, tied):
        return tr("{then} and is tied with {teeth}: it does as well.", then=then, teeth=teeth(one))
    gap = time - float(ranking.time[taken])
    assert entry.rear is not None
    assert entry.front is not None
    ratio = float(ranking.sets.ratio[taken])
    shorter = ratio / (entry.rear / entry.front) - 1
    way = "behind" if gap > 0 else tr("ahead of")
    return tr(
        "{then}, {gap:.2f} s {way} {teeth}, whose final ratio is {shorter} against it.",
        then=then,
        gap=abs(gap),
        way=way,
        teeth=teeth(one),
        shorter=signed_percent(shorter),
    )


def _row(entry: BookEntry, ranking: LapRanking) -> int | None:
    """The ranked row of the outing's sprockets with the bike's own gearbox and tyre; None where it is not ranked."""
    sets = ranking.sets
    chain = drive_set(entry, sets.bike).chain
    for k in np.nonzero((sets.front == entry.front) & (sets.rear == entry.rear) & (sets.box == 0))[0].tolist():
        one = sets.set_at(k)
        if k < sets.ranked and one.chain == chain and one.tyre is None:
            return int(k)
    return None


def _own_lap(entry: BookEntry, ranking: LapRanking) -> float | None:
    """The lap of the outing's sprockets where they are not among those ranked."""
    found = set_ranking(ranking.sets.bike, drive_set(entry, ranking.sets.bike), ranking.circuit, ranking.rules)
    return None if isinstance(found, Finding) or not len(found.order) else float(found.time[0])
