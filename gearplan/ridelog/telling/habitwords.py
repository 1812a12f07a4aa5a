"""How a motorcycle was ridden, and what gave way, in sentences for people."""

from __future__ import annotations

from gearplan.bike.written import percent
from gearplan.ridelog.habits.slipping import Slip
from gearplan.ridelog.telling.remark import Remark


def of_slip(slip: Slip) -> Remark:
    """What gives way under pull, its evidence, and what would tell where that is open."""
    by_wheel = slip.by_wheels and slip.what == "wheel"
    runs = "rear wheel runs ahead of the road" if by_wheel else "engine runs ahead of its gear"
    text = (
        f"Under pull the {runs}: by 3 % or more in {percent(slip.pulling)} of the time in which it accelerates, in "
        f"{percent(slip.steady)} at steady speed. "
    )
    if slip.what == "clutch" and slip.by_wheels:
        text += "The speed is sensed behind the clutch, so the clutch slips."
    elif slip.what == "clutch":
        text += "It is so in high gears too, where no wheel spins: the clutch slips."
    elif by_wheel:
        text += "The wheel spins."
    elif slip.what == "wheel":
        text += "It is so in the low gears, hardly in high ones: the rear wheel spins."
    else:
        text += (
            "The clutch slips, or the rear wheel spins. To decide it: pull hard in fourth gear or higher, or record "
            "the rear wheel's speed beside the satellites'."
        )
    return Remark("check", "slip", text, slip.pulling, source="engine over road speed, pulling against steady")


def of_cuts(cuts: int, of: int, took: float) -> Remark:
    """The changes up of a quick-shifter."""
    text = f"{cuts} of {of} changes up take about {took:.2f} s: a quick-shifter cuts the drive; nothing slips in them."
    return Remark("fits", "quick-shifter", text, took, unit="s")
