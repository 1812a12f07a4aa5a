"""What is typical for each kind of motorcycle: where a profile is to be begun with before anything is measured.

All of it is experience of the trade, without a source, and the bands are wide. Nothing here that a person's safety
hangs on: no torque, slack, wear limit or strength is typical for anything.
"""

from __future__ import annotations

import math

from gearplan.bike.profile import Bike
from gearplan.language import tr

TYPICAL = tr("typical for its kind, no source")

#: (What is taken, the least and the most that is usual), in the unit of the entry.
Band = tuple[float, float, float]
#: Section and key; the centre of mass lies ahead of the axle by a share of the wheelbase, and the inertia at the crank
#: goes with the peak torque (kg·m² for each N·m).
_Typical = dict[tuple[str, str], Band]

#: The centre of mass ahead of the axle, over the wheelbase.
_AHEAD = ("chassis", "com_ahead_of_rear_axle_mm")
_INERTIA = ("engine", "inertia_kg_m2")


def _kind(
    wheelbase: Band,
    height: Band,
    ahead: Band,
    weight: Band,
    drag: Band,
    grip: Band,
    rolls: Band,
    wheels: Band,
    crank: Band,
    primary: Band,
    **more: Band,
) -> _Typical:
    return {
        ("chassis", "wheelbase_mm"): wheelbase,
        ("chassis", "com_height_mm"): height,
        _AHEAD: ahead,
        ("load", "bike_kg"): weight,
        ("load", "drag_area_m2"): drag,
        ("tyre", "grip"): grip,
        ("load", "rolling_coefficient"): rolls,
        ("load", "wheel_inertia_kg_m2"): wheels,
        _INERTIA: crank,
        ("gearbox", "primary"): primary,
        **{_MORE[name]: band for name, band in more.items()},
    }


_MORE = {
    "idle": ("engine", "idle_rpm"),
    "launch": ("engine", "launch_rpm"),
    "shift": ("engine", "shift_time_s"),
    "efficiency": ("engine", "efficiency"),
    "braking": ("load", "braking_mps2"),
    "count": ("gearbox", "count"),
}

_KINDS: dict[str, _Typical] = {
    "sport": _kind(
        wheelbase=(1410, 1350, 1470),
        height=(650, 570, 720),
        ahead=(0.50, 0.46, 0.54),
        weight=(195, 150, 225),
        drag=(0.36, 0.29, 0.44),
        grip=(1.2, 1.0, 1.4),
        rolls=(0.017, 0.012, 0.024),
        wheels=(1.0, 0.7, 1.4),
        crank=(4e-4, 2e-4, 8e-4),
        primary=(1.75, 1.45, 2.1),
    ),
    "naked": _kind(
        wheelbase=(1430, 1360, 1500),
        height=(650, 570, 720),
        ahead=(0.49, 0.45, 0.53),
        weight=(195, 150, 245),
        drag=(0.50, 0.40, 0.62),
        grip=(1.1, 0.9, 1.3),
        rolls=(0.018, 0.013, 0.026),
        wheels=(1.1, 0.7, 1.5),
        crank=(5e-4, 2e-4, 1e-3),
        primary=(1.8, 1.5, 2.2),
    ),
    "tourer": _kind(
        wheelbase=(1500, 1420, 1620),
        height=(660, 580, 740),
        ahead=(0.48, 0.44, 0.52),
        weight=(245, 190, 350),
        drag=(0.55, 0.42, 0.72),
        grip=(1.05, 0.85, 1.25),
        rolls=(0.018, 0.013, 0.026),
        wheels=(1.3, 0.9, 1.8),
        crank=(6e-4, 3e-4, 1.2e-3),
        primary=(1.7, 1.45, 2.1),
    ),
    "cruiser": _kind(
        wheelbase=(1620, 1480, 1750),
        height=(560, 480, 640),
        ahead=(0.46, 0.41, 0.51),
        weight=(255, 160, 370),
        drag=(0.60, 0.48, 0.78),
        grip=(0.95, 0.75, 1.15),
        rolls=(0.020, 0.014, 0.028),
        wheels=(1.5, 0.9, 2.2),
        crank=(8e-4, 3e-4, 2e-3),
        primary=(1.75, 1.4, 2.2),
    ),
    "trail": _kind(
        wheelbase=(1520, 1420, 1610),
        height=(720, 630, 810),
        ahead=(0.47, 0.43, 0.51),
        weight=(210, 145, 265),
        drag=(0.60, 0.46, 0.76),
        grip=(1.0, 0.75, 1.2),
        rolls=(0.020, 0.014, 0.032),
        wheels=(1.2, 0.8, 1.7),
        crank=(5e-4, 2e-4, 1e-3),
        primary=(1.85, 1.5, 2.3),
    ),
    "enduro": _kind(
        wheelbase=(1480, 1420, 1530),
        height=(780, 690, 870),
        ahead=(0.47, 0.43, 0.51),
        weight=(118, 95, 155),
        drag=(0.60, 0.48, 0.76),
        grip=(0.8, 0.5, 1.1),
        rolls=(0.030, 0.018, 0.060),
        wheels=(1.1, 0.7, 1.6),
        crank=(4e-4, 1.5e-4, 8e-4),
        primary=(2.7, 2.1, 3.3),
        braking=(6.0, 4.0, 9.0),
    ),
    "supermoto": _kind(
        wheelbase=(1470, 1400, 1530),
        height=(740, 650, 830),
        ahead=(0.48, 0.44, 0.52),
        weight=(135, 100, 180),
        drag=(0.56, 0.45, 0.70),
        grip=(1.15, 0.95, 1.35),
        rolls=(0.019, 0.014, 0.028),
        wheels=(1.0, 0.6, 1.4),
        crank=(4e-4, 1.5e-4, 8e-4),
        primary=(2.4, 1.8, 3.2),
    ),
    "small commuter": _kind(
        wheelbase=(1280, 1190, 1370),
        height=(640, 550, 720),
        ahead=(0.46, 0.42, 0.51),
        weight=(120, 85, 155),
        drag=(0.50, 0.40, 0.64),
        grip=(0.95, 0.75, 1.15),
        rolls=(0.020, 0.014, 0.030),
        wheels=(0.7, 0.4, 1.1),
        crank=(5e-4, 2e-4, 1e-3),
        primary=(3.4, 2.7, 4.2),
        shift=(0.25, 0.10, 0.45),
        efficiency=(0.90, 0.84, 0.95),
        braking=(7.0, 5.0, 9.5),
    ),
    "geared scooter": _kind(
        wheelbase=(1230, 1150, 1320),
        height=(590, 500, 680),
        ahead=(0.42, 0.37, 0.48),
        weight=(100, 70, 140),
        drag=(0.50, 0.40, 0.64),
        grip=(0.9, 0.7, 1.1),
        rolls=(0.022, 0.015, 0.034),
        wheels=(0.45, 0.2, 0.8),
        crank=(6e-4, 2e-4, 1.5e-3),
        primary=(3.5, 2.6, 4.5),
        shift=(0.35, 0.15, 0.60),
        efficiency=(0.90, 0.82, 0.95),
        braking=(6.5, 4.5, 9.0),
    ),
    "one-ratio scooter": _kind(
        wheelbase=(1200, 1060, 1350),
        height=(590, 500, 680),
        ahead=(0.42, 0.37, 0.48),
        weight=(70, 35, 130),
        drag=(0.50, 0.38, 0.64),
        grip=(0.9, 0.7, 1.1),
        rolls=(0.022, 0.015, 0.034),
        wheels=(0.4, 0.15, 0.8),
        crank=(6e-4, 2e-4, 1.5e-3),
        primary=(4.0, 2.5, 6.0),
        count=(1, 1, 1),
        efficiency=(0.90, 0.82, 0.95),
        braking=(6.5, 4.5, 9.0),
    ),
    "electric": _kind(
        wheelbase=(1400, 1250, 1500),
        height=(620, 530, 720),
        ahead=(0.49, 0.44, 0.54),
        weight=(180, 80, 260),
        drag=(0.48, 0.36, 0.64),
        grip=(1.05, 0.85, 1.3),
        rolls=(0.018, 0.013, 0.028),
        wheels=(1.0, 0.5, 1.5),
        crank=(2e-4, 5e-5, 6e-4),
        primary=(1.0, 1.0, 2.5),
        count=(1, 1, 1),
        idle=(0.0, 0.0, 0.0),
        launch=(0.0, 0.0, 0.0),
        efficiency=(0.93, 0.88, 0.97),
    ),
    "sidecar": _kind(
        wheelbase=(1500, 1380, 1680),
        height=(600, 500, 700),
        ahead=(0.47, 0.40, 0.54),
        weight=(340, 240, 470),
        drag=(1.0, 0.70, 1.35),
        grip=(0.9, 0.7, 1.15),
        rolls=(0.025, 0.017, 0.038),
        wheels=(1.8, 1.1, 2.7),
        crank=(7e-4, 3e-4, 1.6e-3),
        primary=(1.8, 1.45, 2.3),
        braking=(6.0, 4.5, 8.5),
    ),
    "vintage": _kind(
        wheelbase=(1400, 1300, 1490),
        height=(630, 540, 710),
        ahead=(0.47, 0.42, 0.52),
        weight=(175, 105, 245),
        drag=(0.60, 0.48, 0.76),
        grip=(0.8, 0.6, 1.0),
        rolls=(0.022, 0.015, 0.034),
        wheels=(1.2, 0.7, 1.8),
        crank=(1.0e-3, 4e-4, 2.5e-3),
        primary=(2.0, 1.6, 2.7),
        shift=(0.35, 0.20, 0.60),
        efficiency=(0.88, 0.82, 0.94),
        braking=(5.5, 4.0, 8.0),
    ),
}

#: By how much a gear's ratio may lie beside the typical one, as a share.
GEAR_SHARE = 0.12
#: (Ratio of the last gear, ratio of first over last with six gears); boxes with fewer gears span less.
_BOXES = {
    "sport": (1.08, 2.4),
    "naked": (1.02, 2.6),
    "tourer": (0.95, 2.9),
    "cruiser": (0.95, 2.9),
    "trail": (0.98, 2.8),
    "enduro": (0.95, 2.6),
    "supermoto": (0.97, 2.6),
    "small commuter": (0.98, 3.0),
    "geared scooter": (1.0, 3.0),
    "sidecar": (1.0, 2.9),
    "vintage": (1.0, 2.9),
}
#: The steps between gears shrink towards the top: ln(ratio over last) goes with this power of the gears still above.
_SHRINKS = 1.4
#: A box with fewer gears than six spans its six gears' span to this power of (gears − 1)/5.
_FEWER = 0.35


def typical(bike: Bike, section: str, key: str) -> Band | None:
    """What is typical of the bike's kind for a field, in the unit of the entry; None where nothing is.

    The inertia at the crank is that for each N·m of peak torque, the centre of mass goes with the wheelbase.
    """
    known = _KINDS.get(bike.kind)
    if known is None or (section, key) not in known:
        return None
    band = known[section, key]
    if (section, key) != _AHEAD:
        return band
    own = bike.chassis.wheelbase_mm
    base = known["chassis", "wheelbase_mm"][0] if own is None else own
    return 5.0 * round(band[0] * base / 5), band[1] * base, band[2] * base


def gear_count(bike: Bike) -> int | None:
    """How many gears the bike has as far as that is entered, or goes without saying; None where it is not known."""
    entered, listed = bike.gearbox.count, len(bike.gearbox.gears or ())
    usual = typical(bike, "gearbox", "count")
    if entered is None and not listed:
        return None if usual is None else int(usual[0])
    return max(entered or 0, listed)


def typical_gears(bike: Bike, count: int) -> tuple[float, ...] | None:
    """The ratios that a gearbox of so many gears typically has, first gear first; None for no known kind.

    ln(i_k/i_n) = ln(span)·((n − k)/(n − 1))^1.4: steps that shrink towards the top. No source.
    """
    if bike.kind not in _KINDS:
        return None
    if count == 1:
        return (1.0,)
    last, whole = _BOXES.get(bike.kind, _BOXES["naked"])
    span = math.log(whole) * ((count - 1) / 5) ** _FEWER
    above = ((count - k) / (count - 1) for k in range(1, count + 1))
    return tuple(round(last * math.exp(span * part**_SHRINKS), 2) for part in above)
