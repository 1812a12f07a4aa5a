"""What stands on a sheet, apart from how it is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gearplan.bike.profile import Bike
from gearplan.bike.text import written
from gearplan.bike.text.units import KMH, MM, MPH
from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.driveset import DriveSet
from gearplan.plan.set import words as setwords
from gearplan.plan.set.compare import SpeedLines, gear_rows, speed_lines
from gearplan.plan.set.doubts import judged, top_share
from gearplan.plan.set.evaluate import fitted_and
from gearplan.plan.set.quantities import CHAIN
from gearplan.plan.set.sideview import SideView, side_view, with_axle_at
from gearplan.plan.set.verdict import Verdict, verdict


@dataclass(frozen=True, slots=True)
class SpeedSheet:
    """The speed chart as a sheet. `lines` are in SI, `unit` is m/s in one of `unit_name`."""

    title: str
    fitted: str
    proposed: str
    change: str
    verdict: Verdict
    caption: str
    on: SpeedLines | None
    lines: SpeedLines
    unit: float
    unit_name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class ChainSheet:
    """The chain run as a sheet; `rows` are (quantity, fitted, proposed), `at` tells where the axle is drawn."""

    title: str
    day: str
    verdict: Verdict
    at: str
    fitted: str
    proposed: str
    on: SideView | None
    view: SideView
    rows: tuple[tuple[str, str, str], ...]


def chain_sheet(bike: Bike, chosen: DriveSet, day: date, axle: float | None = None) -> ChainSheet:
    """The chain run of fitted and proposed set; ValueError while it cannot be drawn, saying why.

    `axle` is where the axle of the proposed set is to stand, in m along the arm; None for at the slack asked for.
    """
    on, proposed = fitted_and(bike, chosen)
    view = side_view(bike, proposed, axle)
    if view is None:
        raise ValueError(" ".join(f.for_file for f in proposed.findings if f.about == "chain length"))
    shown = proposed if axle is None else with_axle_at(bike, proposed, axle)
    rows = [(tr("Links that fit"), setwords.links_that_fit(on), setwords.links_that_fit(proposed))]
    for q in CHAIN:
        rows.append((q.title(), q.text(on), q.text(shown)))
    return ChainSheet(
        title=tr("{name}: chain run", name=bike.name or tr("Unnamed bike")),
        day=day.isoformat(),
        verdict=verdict(judged(bike, shown)),
        at=tr("Drawn with pivot to axle {axle_position} mm. ", axle_position=written.number(view.axle_position, MM))
        + setwords.slack_sentence(proposed, view.slack, view.in_slot),
        fitted=tr("Fitted {set_name}", set_name=words.set_name(on.set)),
        proposed=tr("Proposed {set_name}", set_name=words.set_name(chosen)),
        on=side_view(bike, on),
        view=view,
        rows=tuple(rows),
    )


def speed_sheet(bike: Bike, chosen: DriveSet, mph: bool) -> SpeedSheet:
    """The speed chart of fitted and proposed set; ValueError while the bike has no speeds, naming the fields."""
    on, proposed = fitted_and(bike, chosen)
    lines = speed_lines(bike, proposed)
    if lines is None:
        raise ValueError(" ".join(f.for_file for f in proposed.findings if f.field))
    unit, name = (MPH, "mph") if mph else (KMH, "km/h")
    hundred = (60 if mph else 100) * unit
    rows = tuple(
        (
            str(row.gear),
            written.number(row.overall[0], 1, 3),
            written.number(row.overall[1], 1, 3),
            written.number(row.speed_at_redline[0], unit),
            written.number(row.speed_at_redline[1], unit),
            *setwords.engine_speeds_told(row),
        )
        for row in gear_rows(bike, on, proposed, hundred)
    )
    at = tr("rpm at {hundred:.0f} {name}", hundred=hundred / unit, name=name)
    return SpeedSheet(
        title=bike.name or tr("Unnamed bike"),
        fitted=tr(
            "Fitted {set_name}, final ratio {final_ratio}",
            set_name=words.set_name(on.set),
            final_ratio=written.number(on.final_ratio, 1, 3),
        ),
        proposed=tr(
            "Proposed {set_name}, final ratio {final_ratio}",
            set_name=words.set_name(chosen),
            final_ratio=written.number(proposed.final_ratio, 1, 3),
        ),
        change=setwords.feel(setwords.change(on, proposed)),
        verdict=verdict(judged(bike, proposed)),
        caption=setwords.chart_caption(proposed, top_share(bike, proposed)),
        on=speed_lines(bike, on),
        lines=lines,
        unit=unit,
        unit_name=name,
        head=(
            tr("Gear"),
            tr("Ratio, fitted"),
            "proposed",
            tr("{name} at redline", name=name),
            "proposed",
            at,
            "proposed",
        ),
        rows=rows,
    )
