"""A lap ranking as text for people, as values for JSON, and as a CSV table."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearplan.bike.text.units import KMH
from gearplan.bike.text.written import computed_lap, difference, gear, number
from gearplan.language import decimal, tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import finding_values
from gearplan.plan.laps.ranges import LapRange, range_values
from gearplan.plan.laps.ranking import LapRanking, LapRow, Use
from gearplan.plan.laps.spread import Plateau, advice, reason
from gearplan.plan.words import NOT_ADVICE, teeth

Ints = NDArray[np.int_]

_COLUMNS = (
    ("place", "front", "rear", "links", "besides", "final_ratio", "lap_s", "gap_s", "up_shifts", "limiter_s", "fits"),
    ("chain_at_hand_fits", "apex_rpm_least", "top_speed_kmh", "verdict", "findings", "tied"),
)


def row_texts(row: LapRow) -> tuple[str, str, str, str, str]:
    """One set's lap in the cells of a table: set, links, lap, gap in seconds, up-shifts."""
    return (
        teeth(row.set),
        "–" if row.set.links is None else str(row.set.links),
        computed_lap(row.time),
        "–" if row.gap is None else difference(row.time - row.gap, row.time, 1, 2),
        str(row.up_shifts),
    )


@dataclass(frozen=True, slots=True)
class Pinned:
    """A set that stays in sight over a ranking. `names` say what it is: take (best, where the fitted one is to be
    left), proposed, fitted.

    `gap` is how far its lap is behind the fitted set's (s), `ends` between which ends that is in doubt; None where
    nobody knows. `itself`: it is the fitted set.
    """

    names: tuple[str, ...]
    row: LapRow
    gap: float | None
    ends: tuple[float, float] | None
    itself: bool

    @property
    def texts(self) -> tuple[str, ...]:
        """Its cells: what it is, set, lap, gap, in which range that is, up-shifts."""
        name, _, lap, gap, shifts = row_texts(self.row)
        between = ""
        if self.ends is not None and not self.itself:
            low, high = map(_signed, self.ends)
            between = tr("{low} to {high}", low=low, high=high)
        return ", ".join(self.names), name, lap, gap, between, shifts


PINNED_HEADS = ("", tr("set"), tr("lap"), tr("gap, s"), tr("gap in doubt, s"), tr("shifts"))


def pinned(
    ranking: LapRanking, tied: Plateau | None, proposed: LapRow | None, proposed_range: LapRange | None
) -> tuple[Pinned, ...]:
    """The set to take, the proposed and the fitted one, each once, with what is known of their laps."""
    on = ranking.fitted
    take = None if tied is None or not ranking.has_details(tied.chosen) else ranking.row(tied.chosen)
    known = (
        ("" if tied is None else tied.word, take, None if tied is None else tied.range),
        (tr("proposed"), proposed, proposed_range),
        (tr("fitted"), on, None if tied is None or tied.fitted is None else tied.fitted.range),
    )
    found: list[tuple[list[str], LapRow, LapRange | None]] = []
    for name, row, range_ in known:
        if row is None:
            continue
        same = next((one for one in found if same_set(one[1].set, row.set)), None)
        if same is None:
            found.append(([name], row, range_))
        else:
            same[0].append(name)
    return tuple(
        Pinned(
            tuple(names),
            row,
            row.gap,
            None if range_ is None else range_.gap,
            on is not None and "fitted" in names,
        )
        for names, row, range_ in found
    )


def same_set(one: DriveSet, other: DriveSet) -> bool:
    """Whether two sets are the same but for the chain's links, which follow."""
    return replace(one, links=None) == replace(other, links=None)


def tied_gaps(ranking: LapRanking, tied: Plateau | None) -> tuple[float, float] | None:
    """Between which gaps to the fitted set (s) the tied sets lie as entered; None where nothing is tied or fitted."""
    if tied is None or ranking.fitted_time is None or not len(tied.tied):
        return None
    gaps = ranking.time[tied.tied] - ranking.fitted_time
    return float(gaps.min()), float(gaps.max())


def tied_spans(ranking: LapRanking, tied: Plateau | None) -> tuple[tuple[float, float], ...]:
    """From which to which final ratio every ratio has a tied set, half way to the next ratio that has none."""
    if tied is None or not len(tied.tied):
        return ()
    ratios = np.unique(np.round(ranking.sets.ratio[ranking.order], 9))
    there = np.isin(ratios, np.round(ranking.sets.ratio[tied.tied], 9)).astype(int)
    ends = np.concatenate([ratios[:1], (ratios[1:] + ratios[:-1]) / 2, ratios[-1:]])
    turns = np.diff(there, prepend=0, append=0)
    return tuple(zip(ends[:-1][turns[:-1] > 0].tolist(), ends[np.nonzero(turns < 0)[0]].tolist(), strict=True))


def grouped(rows: Sequence[LapRow], ranking: LapRanking, tied: Plateau | None) -> tuple[LapRow, ...]:
    """The tied rows by tenths of a second and up-shifts, for nobody can tell closer laps apart; the others by lap."""
    marked = tied_rows(ranking, tied)
    near = sorted(
        (row for row in rows if row.index in marked), key=lambda row: (round(row.time, 1), row.up_shifts, row.time)
    )
    return (*near, *(row for row in rows if row.index not in marked))


def _signed(seconds: float) -> str:
    return difference(0.0, seconds, 1, 2)


def chain_text(row: LapRow) -> str:
    """Which chain goes with a set: the one that is there, one of another length, or none."""
    return tr("as fitted") if row.at_hand else tr("other") if row.fits else tr("none")


def row_values(row: LapRow) -> dict[str, Any]:
    """One set's lap for JSON; sections and gears count from 1, the unit is in the key."""
    return {
        "front": row.set.front,
        "rear": row.set.rear,
        "links": row.set.links,
        "chain": row.set.chain,
        "tyre": row.set.tyre,
        "besides": row.besides,
        "gears": [round(ratio, 6) for ratio in row.box],
        "final_ratio": round(row.ratio, 6),
        "lap_s": round(row.time, 5),
        "gap_s": None if row.gap is None else round(row.gap, 5),
        "up_shifts": row.up_shifts,
        "leaned_up_shifts": row.leaned_shifts,
        "limiter_s": round(row.limiter, 4),
        "limiter_margin_percent": round(100 * row.margin, 3),
        "verdict": row.level,
        "fits": row.fits,
        "chain_at_hand_fits": row.at_hand,
        "apex": [_apex(use) for use in row.apex],
        "straight": [_straight(use) for use in row.straight],
        "cannot_climb": [n + 1 for n in row.stuck],
    }


def ranking_values(ranking: LapRanking, rows: tuple[LapRow, ...], tied: Plateau | None) -> dict[str, Any]:
    """The whole answer for JSON."""
    fitted = ranking.fitted
    plateau = told = None
    if tied is not None:
        one = ranking.sets.set_at(tied.chosen)
        plateau = {
            "tied": [[ranking.sets.set_at(int(k)).front, ranking.sets.set_at(int(k)).rear] for k in tied.tied],
            "chosen": [one.front, one.rear],
            "why": [reason(ranking, tied)],
            "doubts": {tied.names[key]: round(seconds, 4) for key, seconds in tied.worth.items()},
        }
        told = {
            "front": one.front,
            "rear": one.rear,
            "links": one.links,
            "besides": ranking.sets.besides(tied.chosen),
            "leave": tied.leave,
            "loss_s": round(tied.loss, 4),
            "reason": reason(ranking, tied),
            "with_first_gear": tied.otherwise or None,
        } | range_values(tied.range)
    marked = tied_rows(ranking, tied)
    return {
        "circuit": ranking.circuit.name,
        "length_m": round(ranking.circuit.length_m, 3),
        "sets": ranking.sets.ranked,
        "sets_ranked": len(ranking.order),
        "ranking": [
            row_values(row) | {"tied": row.index in marked} | _doubt(tied, row) | _judged(ranking, row) for row in rows
        ],
        "fitted": None
        if fitted is None
        else row_values(fitted) | {"tied": fitted.index in marked} | _doubt(tied, fitted) | _judged(ranking, fitted),
        "plateau": plateau,
        "advice": told,
        "notes": list(ranking.notes),
    }


def tied_rows(ranking: LapRanking, tied: Plateau | None) -> frozenset[int]:
    """Indices of the rows that are tied, the fitted set's own among them if it is."""
    if tied is None:
        return frozenset()
    return frozenset((*tied.tied.tolist(), *((ranking.sets.count - 1,) if tied.leave else ())))


def _doubt(tied: Plateau | None, row: LapRow) -> dict[str, Any]:
    """Where a row's lap and its gap lie with what is in doubt."""
    return {"doubt": range_values(None if tied is None else tied.range_of(row.index))["doubt"]}


def _judged(ranking: LapRanking, row: LapRow) -> dict[str, Any]:
    """What is judged of a row's set, in the words of the command `numbers`."""
    return {"findings": [finding_values(finding) for finding in ranking.findings(row.index)]}


def ranking_text(ranking: LapRanking, rows: tuple[LapRow, ...], tied: Plateau | None) -> str:
    """The ranking as a table for people, with what it rests on."""
    fitted = ranking.fitted
    name = ranking.circuit.name or tr("This circuit")
    lines = [
        tr(
            "{name}, {length_m:.0f} m, {ranked} sets",
            name=name,
            length_m=ranking.circuit.length_m,
            ranked=ranking.sets.ranked,
        )
    ]
    head = tr("      set    links  ratio       lap    gap s  shifts  limiter s  least apex rpm  top km/h  chain")
    lines += ["", head]
    marked = tied_rows(ranking, tied)

    def mark(row: LapRow) -> str:
        return "*" if tied is not None and row.index == tied.chosen else "=" if row.index in marked else " "

    lines += [_line(f"{place}{mark(row)}", row) for place, row in enumerate(rows, 1)]
    if fitted is not None:
        lines += [_line(f"now{mark(fitted)}", fitted)]
    if tied is not None:
        lines += [tr("* the one to take, = tied with it"), "", advice(ranking, tied)]
        if len(tied.tied) > 1 and tied.worth:
            moved = (decimal(f"{tied.names[key]} {seconds:.2f} s") for key, seconds in tied.worth.items())
            lines += [tr("How far each doubt moves them against the one to take: {join}.", join=", ".join(moved))]
    lines += [_cannot_climb(ranking, n) for n in _steep(ranking)]
    lines += ["", *ranking.notes] if ranking.notes else []
    lines.append(NOT_ADVICE)
    return "\n".join(lines)


def ranking_csv(ranking: LapRanking, rows: Sequence[int] | Ints, tied: Plateau | None) -> str:
    """The table as CSV: one row a set with what speaks against it, then each section's speed, gear, engine speed.

    `rows` are rows of the ranking, the quickest first. Whether a set is tied is empty while nobody knows, and what
    happens in the sections where the ranking kept no details; last stands every gear as it is to be built.
    """
    out, marked = io.StringIO(), tied_rows(ranking, tied)
    write = csv.writer(out, lineterminator="\n")
    sections = [name for n in range(1, len(ranking.circuit.sections) + 1) for name in _of_section(n)]
    own = ranking.sets.gearboxes[0]
    gears = [f"gear_{n}" for n in range(1, len(own) + 1)]
    write.writerow([*_COLUMNS[0], *_COLUMNS[1], *sections, *gears])
    against: dict[DriveSet, str] = {}
    for place, k in enumerate(map(int, rows), 1):
        row = ranking.row(k) if ranking.has_details(k) else None
        known = () if row is None else sorted((*row.apex, *row.straight), key=lambda use: use.section)
        rest = [text for use in known for text in (f"{use.speed / KMH:.1f}", use.gear, f"{use.rpm:.0f}")]
        level, one = ranking.sets.level_at(k), ranking.sets.set_at(k)
        if one not in against:
            against[one] = _against(ranking, k)
        write.writerow(
            [
                place,
                one.front,
                one.rear,
                one.links or "",
                ranking.sets.besides(k),
                f"{ranking.sets.ratio[k]:.4f}",
                f"{ranking.time[k]:.3f}",
                "" if ranking.fitted_time is None else f"{ranking.time[k] - ranking.fitted_time:.3f}",
                ranking.up_shifts[k],
                f"{ranking.limiter[k]:.2f}",
                "no" if level == "does not fit" else "yes",
                "yes" if ranking.sets.at_hand[k] else "no",
                f"{min(use.rpm for use in row.apex):.0f}" if row is not None and row.apex else "",
                "" if row is None else f"{_top(row) / KMH:.1f}",
                level,
                against[one],
                "" if tied is None else "yes" if k in marked else "no",
                *(rest or [""] * len(sections)),
                *(gear(ratio) for ratio in ranking.sets.gearbox_at(k) or own),
            ]
        )
    return out.getvalue()


def _of_section(n: int) -> tuple[str, str, str]:
    return f"section_{n}_kmh", f"section_{n}_gear", f"section_{n}_rpm"


def _against(ranking: LapRanking, k: int) -> str:
    """What speaks against a row's set, in words."""
    found = ranking.findings(k)
    return " ".join(finding.text for finding in found if finding.level != "fits" and not finding.aside)


def _line(place: str, row: LapRow) -> str:
    least = f"{min(use.rpm for use in row.apex):.0f}" if row.apex else "–"
    name, links, lap, gap, shifts = row_texts(row)
    ratio, limiter = number(row.ratio, 1, 3), number(row.limiter, 1, 1)
    return (
        f"{place:>5} {name:<6} {links:>5}  {ratio}  {lap:>8}  {gap:>7}  {shifts:>6}  {limiter:>9}  "
        f"{least:>14}  {number(_top(row), KMH):>8}  {chain_text(row):<9}  {row.besides}".rstrip()
    )


def _top(row: LapRow) -> float:
    return max(use.speed for use in (*row.apex, *row.straight))


def _apex(use: Use) -> dict[str, Any]:
    known = {"section": use.section + 1, "gear": use.gear, "rpm": round(use.rpm, 2)}
    return known | {"apex_kmh": round(use.speed / KMH, 3)}


def _straight(use: Use) -> dict[str, Any]:
    known = {"section": use.section + 1, "peak_kmh": round(use.speed / KMH, 3)}
    return known | {"gear": use.gear, "rpm": round(use.rpm, 2)}


def _steep(ranking: LapRanking) -> list[int]:
    return [n for n in range(len(ranking.circuit.sections)) if ranking.laps.cannot_climb[n].any()]


def _cannot_climb(ranking: LapRanking, n: int) -> str:
    if ranking.circuit.sections[n].gradient_percent > 0:
        return tr("Section {n} is too steep for {many}.", n=n + 1, many=_many(ranking, n))
    return tr("Section {n}: too little pull with {many}.", n=n + 1, many=_many(ranking, n))


def _many(ranking: LapRanking, n: int) -> str:
    count, of = int(ranking.laps.cannot_climb[n].sum()), ranking.laps.cannot_climb.shape[1]
    return tr("every set") if count == of else tr("{count} of the {of} sets", count=count, of=of)
