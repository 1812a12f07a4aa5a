"""All that a ride tells of a bike, in one value, and as `gearplan log --json` answers it. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.bike.text.written import percent
from gearplan.language import tr
from gearplan.ridelog.habits.driving import Driving, driving
from gearplan.ridelog.habits.shifts import UpShift, quick_shifter, up_shifts
from gearplan.ridelog.habits.slipping import Slip, find_slip, steady_only
from gearplan.ridelog.habits.wind import Wind
from gearplan.ridelog.laps.laps import Laps, StartLine, find_laps
from gearplan.ridelog.laps.tocircuit import CutCircuit, circuit_of
from gearplan.ridelog.learning.coastdown import CoastDown, coast_downs
from gearplan.ridelog.learning.gears import Gears, infer_gears
from gearplan.ridelog.learning.lean import upright, upright_by_speeds
from gearplan.ridelog.learning.speeds import SpeedError, compare_speeds
from gearplan.ridelog.learning.sprockets import Range, Teeth
from gearplan.ridelog.learning.steps import Steps, put_right, steps_put_right
from gearplan.ridelog.learning.times import Times, spent
from gearplan.ridelog.log import LogError, ReadingCancelled, RideLog
from gearplan.ridelog.telling.remark import Remark


@dataclass(frozen=True, slots=True, eq=False)
class Learned:
    """What a ride tells. `gears` is None where it tells no gears; `lacking` then says why, as `no_laps` for laps.

    `circuit` is that of the best lap, `counted` the set that a person has counted. `slip` is what gives way under pull,
    `shifts` are the changes up, `drove` is how the engine was used under full pull. `steps` says whether a speed in
    coarse steps was cut off; all the rest is told of the speed put right.
    """

    log: RideLog
    gears: Gears | None
    lacking: str
    times: Times | None
    speeds: SpeedError | None
    coast: CoastDown | None
    laps: Laps | None
    no_laps: str
    circuit: CutCircuit | None
    counted: tuple[int, int] | None = None
    slip: Slip | None = None
    shifts: tuple[UpShift, ...] = ()
    drove: Driving | None = None
    steps: Steps | None = None

    @property
    def ridden(self) -> RideLog:
        """The log with a speed that was cut off put right."""
        return put_right(self.log, self.steps) if self.steps is not None and self.steps.decided else self.log


def learn(
    log: RideLog,
    bike: Bike,
    line: StartLine | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
    counted: tuple[int, int] | None = None,
) -> Learned:
    """Everything that can be told of a bike from a ride; what cannot be told is None. ReadingCancelled on a wish.

    `counted` are the front and rear teeth, where a person has counted them.
    """
    lacking = ""
    gears = slip = None
    straight = upright(log)
    recorded = log
    log, steps = steps_put_right(log, bike, straight)
    # Slip shows by the same two speeds: only what knows the lean otherwise may tell it.
    stands = upright_by_speeds(log) if straight is None else straight
    speeds = compare_speeds(log, stands)
    if speeds is not None and steps is not None and steps.decided is None:
        speeds = replace(speeds, high=speeds.high * (1 + steps.step / 2 / speeds.at))
    try:
        gears = infer_gears(log, bike, speeds, stands, counted, steps)
        slip = find_slip(log, gears, bike, straight)
        if gears.matched == "no":
            # What slips keeps the ratios of its gears where it does not pull.
            steady = infer_gears(steady_only(log), bike, speeds, stands, counted, steps)
            slip = find_slip(log, steady, bike, straight) if steady.matched == "yes" else None
            gears = gears if slip is None else steady
            if slip is not None and slip.what == "lean":
                # Even riding is that in bends; the upright ratios are in the rest.
                gears = infer_gears(log, bike, speeds, stands, counted, steps, leans=True)
                slip = find_slip(log, gears, bike, straight)
    except LogError as reason:
        lacking = str(reason)
    _pause(0.6, progress, cancelled)
    times = coast = None
    shifts: tuple[UpShift, ...] = ()
    drove = None
    if gears is not None:
        times = spent(log, gears.ratios, bike)
        if gears.unit_asked is None and gears.matched != "no":
            # In another unit, or of another bike, its figures would be wrong.
            coast = coast_downs(log, gears.ratios, bike)
        shifts = up_shifts(log, gears)
        drove = driving(log, gears, shifts, bike, straight)
    _pause(0.8, progress, cancelled)
    laps, circuit, no_laps = cut_laps(log, line)
    _pause(1.0, progress, cancelled)
    told = Learned(recorded, gears, lacking, times, speeds, coast, laps, no_laps, circuit, counted, slip, shifts, drove)
    return replace(told, steps=steps)


def cut_laps(log: RideLog, line: StartLine | None) -> tuple[Laps | None, CutCircuit | None, str]:
    """The laps and the circuit of the best of them, or why there are none."""
    laps = None
    try:
        laps = find_laps(log, line)
        if laps.best is None:
            return laps, None, _none_whole(laps)
        return (
            laps,
            circuit_of(
                log, laps, laps.best, tr("Lap from {rpartition}", rpartition=log.name.rpartition(".")[0] or log.name)
            ),
            "",
        )
    except LogError as reason:
        return laps, None, str(reason)


def _none_whole(laps: Laps) -> str:
    """Why none of the laps is one."""
    most = max(lap.repeated for lap in laps.laps)
    if most >= laps.repeated_from:
        return tr("No lap is whole; the circuit needs one.")
    if laps.rough:
        return tr(
            "The ride has no laps: from one to the next the speeds are alike to {most} at most, those of "
            "laps to {repeated_from} or more.",
            most=percent(most),
            repeated_from=percent(laps.repeated_from),
        )
    return tr(
        "The ride has no laps: between two passes of one place {most} of the way at most is ridden again "
        "in the same direction, of a lap at least {repeated_from}.",
        most=percent(most),
        repeated_from=percent(laps.repeated_from),
    )


def _pause(done: float, progress: Callable[[float], None] | None, cancelled: Callable[[], bool] | None) -> None:
    if cancelled is not None and cancelled():
        raise ReadingCancelled
    if progress is not None:
        progress(done)


def _shown(teeth: Teeth, speeds: SpeedError | None, *, by_satellite: bool) -> dict[str, float | None]:
    """The recorded over the true speed with a set: as measured, else as this set needs it, else not known."""
    one = None if by_satellite else teeth.indicated
    if speeds is not None:
        one = Range(speeds.quotient, speeds.low, speeds.high)
    return {
        "indicated_over_true": None if one is None else one.value,
        "indicated_over_true_low": None if one is None else one.low,
        "indicated_over_true_high": None if one is None else one.high,
    }


def _full_pull(drove: Driving) -> dict[str, Any]:
    """How the engine was used under full pull."""
    share = drove.share or (None, None, None)
    return {
        "seconds": drove.seconds,
        "half_from_rpm": drove.low / RPM,
        "half_to_rpm": drove.high / RPM,
        "lost_by_changes_s": drove.lost,
        "changes": [
            {"at_s": one.at, "from_gear": one.gear, "rpm": one.engine / RPM, "advised_rpm": best / RPM, "lost_s": lost}
            for one, best, lost in drove.changes
        ],
        "measured_over_computed": share[0],
        "measured_over_computed_low": share[1],
        "measured_over_computed_high": share[2],
        "wind": None if isinstance(drove.wind, str) else _air(drove.wind),
        "wind_not_told_for": drove.wind if isinstance(drove.wind, str) else None,
    }


def _air(wind: Wind) -> dict[str, Any]:
    """How the air moved; it comes from the bearing, clockwise from north."""
    return {
        "speed_mps": wind.speed,
        "speed_low_mps": wind.low,
        "speed_high_mps": wind.high,
        "from_deg": None if wind.bearing is None else wind.bearing / DEGREE,
        "from_off_deg": None if wind.bearing is None else wind.off / DEGREE,
        "slope_by": "heights" if wind.by_heights else "speed",
    }


def as_numbers(learned: Learned, remarks: tuple[Remark, ...]) -> dict[str, Any]:
    """The answer with the unit in each key's name, ready for JSON; keys are added to, never renamed."""
    log, gears = learned.log, learned.gears
    rolled = None if gears is None else gears.rolled
    speeds, coast, times = learned.speeds, learned.coast, learned.times
    shown = None if gears is None else gears.indicated
    if speeds is not None:
        shown = Range(speeds.quotient, speeds.low, speeds.high)
    laps, cut = learned.laps, learned.circuit
    return {
        "rows": log.rows,
        "used_rows": log.used_rows,
        "duration_s": float(log.time[-1] - log.time[0]) if log.timed else None,
        "gears": [
            {
                "gear": gear.number,
                "overall_ratio": gear.overall,
                "low": gear.low,
                "high": gear.high,
                "share_of_time": gear.share,
                "off_percent": None if gear.off is None else 100 * gear.off,
                "rpm_per_kmh": gear.cluster.ratio / RPM * KMH,
                "rows": gear.cluster.rows,
            }
            for gear in (gears.gears if gears is not None else ())
        ],
        "gears_used": 0 if gears is None else len(gears.gears),
        "gearbox_matches": None if gears is None or gears.matched == "unknown" else gears.matched == "yes",
        "speed_unit_asked": None if gears is None else gears.unit_asked,
        "rolling_circumference_m": None if rolled is None else rolled.circumference,
        "rolling_circumference_low_m": None if rolled is None else rolled.low,
        "rolling_circumference_high_m": None if rolled is None else rolled.high,
        "final_drive": [
            {
                "front": teeth.front,
                "rear": teeth.rear,
                "likelihood": teeth.likelihood,
                "rolling_circumference_m": teeth.circumference,
                "rolling_circumference_low_m": teeth.rolled.low,
                "rolling_circumference_high_m": teeth.rolled.high,
                **_shown(teeth, speeds, by_satellite=gears is not None and gears.by_satellite),
            }
            for teeth in (gears.teeth if gears is not None else ())
        ],
        "share_between_gears": None if times is None else times.between,
        "share_not_judged": None if times is None else times.unjudged,
        "speed_lag_s": None if gears is None else gears.ratios.lag,
        "speed_step_kmh": None if learned.steps is None else learned.steps.step / KMH,
        "speed_cut_off": None if learned.steps is None else learned.steps.decided,
        "speed_cut_off_likelihood": None if learned.steps is None else learned.steps.cut,
        "share_standing": None if times is None else times.standing,
        "rev_bands": [
            {"from_rpm": band.low / RPM, "to_rpm": band.high / RPM, "share_of_time": band.share}
            for band in (times.bands if times is not None else ())
        ],
        "limiter_hits": [
            {"at_s": hit.at, "duration_s": hit.duration, "speed_kmh": None if hit.speed is None else hit.speed / KMH}
            for hit in (times.hits if times is not None else ())
        ],
        "indicated_over_true": None if shown is None else shown.value,
        "indicated_over_true_low": None if shown is None else shown.low,
        "indicated_over_true_high": None if shown is None else shown.high,
        "indicated_over_true_by": None if shown is None else "likelihood" if speeds is None else "satellites",
        "slip": None
        if learned.slip is None
        else {
            "what": learned.slip.what,
            "share_of_pulling": learned.slip.pulling,
            "share_of_steady": learned.slip.steady,
        },
        "up_shifts": [
            {"at_s": one.at, "took_s": one.took, "from_gear": one.gear, "rpm": one.engine / RPM}
            for one in learned.shifts
        ],
        "full_pull": None if learned.drove is None else _full_pull(learned.drove),
        "quick_shifter": quick_shifter(learned.shifts) is not None,
        "growth_per_mps2": None if speeds is None else speeds.growth,
        "growth_low_per_mps2": None if speeds is None or speeds.growth is None else speeds.growth_low,
        "growth_high_per_mps2": None if speeds is None or speeds.growth is None else speeds.growth_high,
        "undecided": [] if gears is None else list(gears.undecided),
        "drag_area_m2": None if coast is None else coast.drag_area,
        "drag_area_low_m2": None if coast is None else coast.drag_low,
        "drag_area_high_m2": None if coast is None else coast.drag_high,
        "rolling_coefficient": None if coast is None else coast.rolling,
        "rolling_coefficient_low": None if coast is None else coast.rolling_low,
        "rolling_coefficient_high": None if coast is None else coast.rolling_high,
        "laps_s": [] if laps is None else [lap.time for lap in laps.whole],
        "laps_not_whole_s": [] if laps is None else [lap.time for lap in laps.laps if not lap.whole],
        "laps_repeated": [] if laps is None else [lap.repeated for lap in laps.whole],
        "laps_by": None if laps is None else tr("speed pattern") if laps.rough else "position",
        "best_lap_s": None if laps is None or laps.best is None else laps.best.time,
        "median_lap_s": None if laps is None or laps.median is None else laps.median.time,
        "lap_length_m": None if cut is None else cut.circuit.length_m,
        "circuit": [
            {
                "kind": section.kind,
                "length_m": section.length_m,
                "gradient_percent": section.gradient_percent,
                "apex_kmh": section.apex_kmh,
                "turn_deg": section.turn_deg,
            }
            for section in (cut.circuit.sections if cut is not None else ())
        ],
        "findings": [
            {
                "level": remark.level,
                "about": remark.about,
                "text": remark.text,
                "value": remark.value,
                "low": remark.low,
                "high": remark.high,
                "unit": remark.unit,
                "source": remark.source,
                "field": remark.field or None,
            }
            for remark in remarks
        ],
        "notices": list(log.notes),
    }
