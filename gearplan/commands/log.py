"""`gearplan log`: what a recorded ride tells of a bike."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.bikefile import read_bike
from gearplan.bike.files.circuitfile import FORMAT, CircuitFileError, circuit_text
from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH
from gearplan.commands.asked import Refused, json_argument, print_json
from gearplan.language import tr
from gearplan.plan.findings import Finding
from gearplan.plan.laps.sets import fitted_machines
from gearplan.ridelog.laps.modelcheck import ModelFit, fit_model, fit_words, model_words
from gearplan.ridelog.laps.tocircuit import circuit_of
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.columns import LABELS, UNITS, Layout
from gearplan.ridelog.reading.opening import form_of, read_log
from gearplan.ridelog.reading.said import look_again
from gearplan.ridelog.telling.learned import Learned, as_numbers, learn
from gearplan.ridelog.telling.offers import typed_set
from gearplan.ridelog.telling.words import remarks, text_for_people


def add(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Tell the parser of this command."""
    parser = commands.add_parser("log", help=tr("tell from a recorded ride what is really fitted"))
    parser.add_argument(
        "log", metavar="LOG", help=tr("a CSV file such as time_s,rpm,speed_kmh, GPX, or NMEA sentences")
    )
    parser.add_argument("bike", metavar="BIKE", help=tr("a .bike.toml file"))
    parser.add_argument("--speed-unit", choices=tuple(UNITS["road"]), help=tr("the unit of the log's road speed"))
    parser.add_argument(
        "--column",
        metavar="HEADING=WHAT",
        action="append",
        default=[],
        help=tr("what a column holds, and its unit, such as “v2=road mph”; one of ") + ", ".join(LABELS),
    )
    parser.add_argument("--circuit", metavar="FILE", help=tr("save a lap as a .circuit.toml file, without places"))
    parser.add_argument(
        "--with-place",
        action="store_true",
        help=tr("write into that file where on earth the start line lies, as a comment"),
    )
    parser.add_argument("--lap", choices=("best", "median"), default="best", help=tr("which lap that is"))
    parser.add_argument("--counted", metavar="F/R", help=tr("the teeth that you counted, front/rear, such as 15/45"))
    json_argument(parser)
    parser.set_defaults(command=_run)


def _run(asked: argparse.Namespace) -> None:
    file = read_bike(Path(asked.bike))
    path = Path(asked.log)
    guessed = []
    try:
        layout = look_again(path)[0] if form_of(path) == "csv" else None
        for said in asked.column:
            layout = _assigned(layout, said)
        if layout is not None and asked.speed_unit is not None and (road := layout.column("road")) is not None:
            layout = layout.with_column(road.index, "road", asked.speed_unit)
        if layout is not None:
            used = [column for column in layout.columns if column.kind != "unused" and not column.sure]
            guessed = [
                tr(
                    "Column “{heading}” is read as {labels}{part}: {why}.",
                    heading=c.heading,
                    labels=LABELS[c.kind].lower(),
                    part=f" in {c.unit}" if c.unit else "",
                    why=c.why,
                )
                for c in used
            ]
        log = read_log(path, layout)
    except LogError as refused:
        raise Refused(f"{path}: {refused}") from refused
    learned = learn(log, file.bike, counted=_counted(asked.counted))
    if asked.circuit is not None:
        _save_circuit(learned, Path(asked.circuit), asked.lap, placed=asked.with_place)
    fit = _model(learned, file.bike)
    if asked.json:
        answer = as_numbers(learned, remarks(learned, file.bike)) | {"model": None if fit is None else _numbers(fit)}
        print_json(answer | {"notices": [*file.notices, *guessed, *log.notes]})
        return
    print(text_for_people(learned, file.bike))
    if fit is not None:
        print("\n".join(("", model_words(fit.before), *fit_words(fit, file.bike))))
    for notice in (*guessed, *file.notices):
        print(tr("Notice: {notice}", notice=notice))


def _counted(text: str | None) -> tuple[int, int] | None:
    """Front and rear teeth as given; Refused if they are none."""
    if text is None:
        return None
    found = typed_set(text)
    if isinstance(found, str):
        raise Refused(tr("--counted {text}: {found}", text=text, found=found))
    return found


def _assigned(layout: Layout | None, said: str) -> Layout:
    """The layout with a column as it was said; Refused if there is no such column, kind or unit."""
    heading, _, what = said.rpartition("=")
    named, _, unit = what.strip().partition(" ")
    kind = next((kind for kind in LABELS if kind == named.lower()), None)
    if layout is None:
        raise Refused(tr("--column {said}: only a CSV file has columns", said=said))
    column = next((column for column in layout.columns if column.heading == heading.strip()), None)
    if column is None:
        there = ", ".join(f"“{column.heading[:30]}”" for column in layout.columns[:20])
        raise Refused(
            tr(
                "--column {said}: there is no column “{heading}”; there are {there}",
                said=said,
                heading=heading.strip(),
                there=there,
            )
        )
    if kind is None:
        raise Refused(
            tr("--column {said}: “{named}” is none of {join}", said=said, named=named, join=", ".join(LABELS))
        )
    if unit and unit not in UNITS[kind]:
        raise Refused(
            tr(
                "--column {said}: the unit of {kind} is one of {join}",
                said=said,
                kind=kind,
                join=", ".join(filter(None, UNITS[kind])) or "none",
            )
        )
    return layout.with_column(column.index, kind, unit)


def _model(learned: Learned, bike: Bike) -> ModelFit | None:
    """The computed lap with the set that was ridden against the best lap; None where one of them is lacking."""
    if learned.circuit is None:
        return None
    likely = learned.gears.most_likely if learned.gears is not None else None
    made = fitted_machines(bike if likely is None else likely.applied(bike))
    return None if isinstance(made, Finding) else fit_model(made, learned.circuit)


def _numbers(fit: ModelFit) -> dict[str, Any]:
    return {
        "lap_computed_s": fit.before.lap,
        "lap_recorded_s": fit.before.recorded_lap,
        "speed_difference_rms_kmh": fit.before.apart / KMH,
        "lap_computed_after_fit_s": fit.after.lap,
        "values": [
            {
                "field": one.field,
                "unit": one.unit,
                "before": one.before,
                "value": one.value,
                "low": one.low,
                "high": one.high,
                "decided": one.decided,
            }
            for one in fit.values
        ],
    }


def _save_circuit(learned: Learned, path: Path, which: str, *, placed: bool) -> None:
    """Write a lap as a circuit; Refused if there is none or the file cannot be written.

    Places are left out of it unless they are asked for.
    """
    laps = learned.laps
    lap = None if laps is None else laps.best if which == "best" else laps.median
    if laps is None or lap is None or learned.circuit is None:
        raise Refused(f"{path}: {learned.no_laps}")
    head = ""
    if placed:
        if laps.line is None:
            raise Refused(tr("--with-place: the log has no positions"))
        where = f"{laps.line.latitude:.6f}, {laps.line.longitude:.6f}"
        head = f"format = {FORMAT}\n# the start line lies at {where} (latitude, longitude in degrees, WGS 84)\n"
    try:
        cut = circuit_of(learned.ridden, laps, lap, learned.circuit.circuit.name).circuit
        replace_file(path, circuit_text(cut, head).encode())
    except (LogError, CircuitFileError, OSError) as failed:
        raise Refused(str(failed)) from failed
