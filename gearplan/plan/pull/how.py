"""How the figures of the Pull page come about."""

from __future__ import annotations

from gearplan.bike.text.units import unit_told
from gearplan.bike.text.written import number
from gearplan.language import tr
from gearplan.plan.pull.pull import Pull
from gearplan.plan.pull.table import PullRow
from gearplan.plan.set.how.explanation import Explanation
from gearplan.setup.assumed import assumptions_text

_MOTION = tr(
    "thrust F = T(n)·i·η/R, the least of that, front lift and grip; in first below the launch speed T(launch)\n"
    "road load = ½·ρ·CdA·(v + wind)² + m·g·(c_r·cos a + sin a)\n"
    "equivalent mass = m + I_w/R² + I_e·i²/R², without the engine's part while the clutch is open"
)
_FORMULAS = {
    "sprint": (
        tr(
            "{motion}\ntime = Σ equivalent mass·Δv/(F − road load), in steps of 0.25 m/s; no drive during a shift",
            motion=_MOTION,
        ),
        tr("equation of motion; within 0.1 % of a fine integration"),
    ),
    "top": (
        tr(
            "{motion}\ntop speed = the greatest v with F ≥ road load in some gear, capped by the limiter",
            motion=_MOTION,
        ),
        tr("balance of forces"),
    ),
    "shift": (
        tr(
            "{motion}\nup-shift at the lower of the limiter (or the shift speed entered) and the speed from "
            "which the\nnext gear accelerates harder, before the limits of lift and grip",
            motion=_MOTION,
        ),
        tr("comparison of neighbouring gears"),
    ),
    "engine": (tr("road speed × overall ratio in top ÷ rolling radius"), "kinematics"),
    "counter": (
        tr(
            "counted ÷ true as entered (else taken as right), × final ratio and ÷ rolling circumference against "
            "fitted,\n"
            "as the sensor's place says, like the speedometer"
        ),
        tr("counting turns"),
    ),
    "turns": (tr("1000 m × overall ratio in top ÷ rolling circumference"), "kinematics"),
    "speedometer": (
        tr(
            "indicated ÷ true as entered, × final ratio and ÷ rolling circumference against fitted with the "
            "sensor on the\n"
            "output shaft; only ÷ circumference on the rear wheel; unchanged on the front wheel"
        ),
        tr("counting turns; the rule: UN Regulation No. 39, paragraph 5.3"),
    ),
}


def _grows(growth: float) -> str:
    return tr(" × (1 + {growth:g} s²/m² × v²) as the tyre grows", growth=growth) if growth else ""


def explain_row(row: PullRow, pulled: Pull, *, proposed: bool) -> Explanation:
    """The explanation of a listed figure."""
    formula, source = _FORMULAS[row.how]
    m, r = pulled.machine, pulled.road
    unit = f" {unit_told(row.unit_name)}" if row.unit_name else ""
    return Explanation(
        row.name,
        formula,
        (
            (tr("mass m, with rider"), f"{m.mass:.0f} kg"),
            (tr("drag area CdA, air density ρ"), f"{r.drag_area:.3f} m², {r.density:.3f} kg/m³"),
            (tr("rolling coefficient c_r"), f"{r.rolling:g}"),
            (tr("rolling radius R"), f"{1e3 * m.radius:.1f} mm{_grows(m.growth)}"),
            (tr("efficiency η, shift time"), f"{m.efficiency:g}, {m.shift_time:g} s"),
            (tr("front lift, grip"), f"{m.lift:.0f} N, {m.grip:.0f} N"),
            (tr("assumed"), assumptions_text(pulled.assumed) or tr("nothing")),
        ),
        number(row.after if proposed else row.before, 1, row.digits) + unit,
        source,
    )
