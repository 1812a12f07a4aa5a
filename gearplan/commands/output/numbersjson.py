"""What `gearplan numbers` answers: one set's results with the unit in each key's name.

The keys are an interface: they are added to, never renamed.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import DEGREE, KMH, MM, RPM
from gearplan.plan.driveset import DriveSet, fitted, keeps_chain
from gearplan.plan.findings import Finding, finding_values
from gearplan.plan.pull.asked import Stretch
from gearplan.plan.pull.doubts import pull_doubts
from gearplan.plan.pull.pull import pull
from gearplan.plan.pull.table import TOP, row_key, timed
from gearplan.plan.pull.words import HUNDRED
from gearplan.plan.set.compare import engine_speeds
from gearplan.plan.set.doubts import judged, set_doubts, speed_band, speed_doubt, speedometer_share
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.measurenext import measure_next
from gearplan.plan.set.speedometer import speedometer_factor
from gearplan.setup.assumed import Assumed


def numbers(bike: Bike, proposed: DriveSet) -> dict[str, Any]:
    """{"fitted": …, "proposed": …}, ready for JSON; a value that lacks its inputs is None."""
    return {
        "fitted": set_numbers(bike, evaluate(bike, fitted(bike))),
        "proposed": set_numbers(bike, evaluate(bike, proposed)),
    }


def set_numbers(bike: Bike, result: SetResult) -> dict[str, Any]:
    """One set's numbers in the units that the keys name."""
    pulled = pull(bike, result.set)
    shown = speedometer_factor(bike, result.set)
    about = [pulled] if isinstance(pulled, Finding) else []
    known = None if isinstance(pulled, Finding) else pulled
    top = None if known is None else known.top
    last_gear = len(result.overall_ratio or ()) - 1
    chosen, run, strong = result.set, result.run, result.strength
    return {
        "front": chosen.front,
        "rear": chosen.rear,
        "links": chosen.links,
        "chain": chosen.chain,
        "new_chain": not keeps_chain(bike, chosen),
        "tyre": chosen.tyre,
        "final_ratio": result.final_ratio,
        "overall_ratio": result.overall_ratio,
        "rolling_circumference_m": result.rolling_circumference,
        "rolling_circumference_from": result.rolls_by or None,
        "speed_at_redline_kmh": _all(result.speed_at_redline, KMH),
        "rpm_at_100_kmh": _all(engine_speeds(result, 100 * KMH), RPM),
        "links_exact_at_axle_now": run.links_taut_now,
        "links_at_axle_now_with_slack": run.links_at_slack_now,
        "links_that_fit": run.links_that_fit,
        "axle_position_mm": _one(run.axle_position, MM),
        "axle_moves_mm": _one(run.moves, MM),
        "fit_basis": run.basis or None,
        "centre_distance_mm": _one(run.centre_distance, MM),
        "wheelbase_mm": _one(run.wheelbase, MM),
        "wrap_front_deg": _one(run.wrap_front, DEGREE),
        "wrap_rear_deg": _one(run.wrap_rear, DEGREE),
        "chordal_variation_percent": _one(result.chordal_dip, 0.01),
        "slack_needed_mm": _one(run.slack_needed, MM),
        "upper_run_clearance_mm": _one(run.upper_clearance, MM),
        "lower_run_clearance_mm": _one(run.lower_clearance, MM),
        "adjuster_left_for_elongation_percent": _one(run.wear_left, 0.01),
        "front_load_share_percent": _one(run.front_load_share, 0.01),
        "rear_turns_to_meet_the_same_link": run.rear_turns_to_meet_again,
        "peak_chain_tension_n": strong.peak_tension,
        "peak_tension_limited_by": strong.limited_by or None,
        "centrifugal_tension_at_redline_n": strong.centrifugal,
        "tensile_strength_n": strong.tensile,
        "tensile_safety_factor": strong.safety,
        "anti_squat_percent": _one(result.anti_squat, 0.01),
        "squat_ratio": 1 / result.anti_squat if result.anti_squat else None,
        "chain_mass_kg": strong.chain_mass,
        "top_speed_kmh": None if top is None else top.speed / KMH,
        "top_speed_gear": None if top is None else top.gear + 1,
        "top_speed_limited_by": None if top is None else top.limited_by,
        "time_0_100_s": None if known is None else known.run.time_to_speed(100 * KMH),
        "time_80_120_top_gear_s": None if known is None else timed(known, _ROLL_ON, last_gear),
        "shift_rpm": None if known is None else _all(known.shift_engine, RPM),
        "speedometer_indicated_at_100_kmh": None if shown is None else 100 * shown,
        "pull_assumed": [] if known is None else [one.text for one in known.assumed],
        "assumed": [assumed_values(one) for one in result.assumed],
        "verdict": result.verdict,
        "findings": [finding_values(finding) for finding in (*judged(bike, result).findings, *about)],
        "doubt": _doubt(bike, result),
        "measure_next": [
            {"field": one.field, "settles": one.settles, "share": one.share, "how": one.how, "text": one.text}
            for one in measure_next(bike, result)
        ],
    }


def assumed_values(one: Assumed) -> dict[str, Any]:
    """What a set's numbers rest on and nobody entered, with its usual range, in the unit of the bike file."""
    return {
        "field": one.field,
        "text": one.text,
        "value": one.value,
        "low": one.low,
        "high": one.high,
        "unit": one.unit,
        "reason": one.reason,
    }


#: Timed in the last gear.
_ROLL_ON = Stretch("80–120 km/h", 80 * KMH, 120 * KMH)
#: Keys by the names that `set_doubts` gives, and the factor to SI.
_DOUBTED = {
    "rolling_circumference": ("rolling_circumference_m", 1.0),
    "moves": ("axle_moves_mm", MM),
    "axle_position": ("axle_position_mm", MM),
    "centre_distance": ("centre_distance_mm", MM),
    "wheelbase": ("wheelbase_mm", MM),
    "peak_tension": ("peak_chain_tension_n", 1.0),
    "safety": ("tensile_safety_factor", 1.0),
    "anti_squat": ("anti_squat_percent", 0.01),
    "upper_clearance": ("upper_run_clearance_mm", MM),
    "lower_clearance": ("lower_run_clearance_mm", MM),
    "front_load_share": ("front_load_share_percent", 0.01),
    TOP: ("top_speed_kmh", KMH),
    row_key(HUNDRED): ("time_0_100_s", 1.0),
}


def _doubt(bike: Bike, result: SetResult) -> dict[str, Any]:
    """Each key's [low, high]; of a list, two lists."""
    last_gear = len(result.overall_ratio or ()) - 1
    found = {**set_doubts(bike, result), **pull_doubts(bike, result.set, asked=(HUNDRED,), in_gear=(_ROLL_ON,))}
    answer: dict[str, Any] = {
        key: [found[name].low / unit, found[name].high / unit]
        for name, (key, unit) in _DOUBTED.items()
        if name in found
    }
    if (roll_on := found.get(row_key(_ROLL_ON, last_gear))) is not None:
        answer["time_80_120_top_gear_s"] = [roll_on.low, roll_on.high]
    if (shown := speedometer_factor(bike, result.set)) is not None:
        off = speedometer_share(bike, result.set)
        answer["speedometer_indicated_at_100_kmh"] = [100 * shown * (1 - off), 100 * shown * (1 + off)]
    if result.anti_squat and "anti_squat_percent" in answer:
        # Upside down: the least anti-squat is the greatest squat ratio.
        low, high = answer["anti_squat_percent"]
        if low > 0:
            answer["squat_ratio"] = [100 / high, 100 / low]
    speeds, tyre = result.speed_at_redline, result.set.tyre
    band = None if speeds is None else speed_band(bike, tyre, np.array(speeds))
    if band is not None:
        answer["speed_at_redline_kmh"] = [(end / KMH).tolist() for end in band]
    turns, slow = engine_speeds(result, 100 * KMH), speed_doubt(bike, tyre, 100 * KMH)
    if turns is not None and slow is not None:
        answer["rpm_at_100_kmh"] = [[n / end / RPM for n in turns] for end in (slow.high, slow.low)]
    return answer


def _one(value: float | None, unit: float) -> float | None:
    return None if value is None else value / unit


def _all(values: tuple[float, ...] | None, unit: float) -> list[float] | None:
    return None if values is None else [value / unit for value in values]
