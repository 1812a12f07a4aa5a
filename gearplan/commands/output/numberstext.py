"""What `gearplan numbers` tells people."""

from __future__ import annotations

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, RPM
from gearplan.bike.text.written import number, percent, signed_percent
from gearplan.language import tr, trc
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import level_words
from gearplan.plan.set.compare import GearRow, gear_rows
from gearplan.plan.set.doubts import judged, set_doubts
from gearplan.plan.set.evaluate import SetResult, fitted_and
from gearplan.plan.set.measurenext import measure_next
from gearplan.plan.set.quantities import CHAIN, RATIO, ROLLING
from gearplan.plan.set.words import change, engine_speeds_told, links_that_fit
from gearplan.plan.words import MANUAL_FIRST, NOT_ADVICE, VERDICT, set_name, teeth

#: So many measurements are named at once.
_MOST_ASKED = 3


def numbers_text(bike: Bike, chosen: DriveSet) -> str:
    """The answer of `gearplan numbers` for people."""
    on, proposed = fitted_and(bike, chosen)
    lines = [bike.name or tr("Unnamed bike"), ""]
    lines += _block(bike, on, proposed)
    rows = gear_rows(bike, on, proposed, 100 * KMH)
    if rows:
        lines += ["", *_gear_table(rows)]
    for title, result in ((tr("Fitted"), on), (tr("Proposed"), proposed)):
        lines += ["", f"{title}: {set_name(result.set)}: {VERDICT[result.verdict].lower()}"]
        lines += [f"  {level_words(f.level)}: {f.for_file}" for f in judged(bike, result).findings]
        if on.set == proposed.set:
            break
    if asked := measure_next(bike, proposed)[:_MOST_ASKED]:
        lines += ["", tr("Measure next"), *(f"  {one.text}" for one in asked)]
    lines += [
        "",
        f"{NOT_ADVICE} {MANUAL_FIRST}",
    ]
    return "\n".join(lines)


def _block(bike: Bike, on: SetResult, proposed: SetResult) -> list[str]:
    rows = [("", tr("fitted"), tr("proposed"), "")]
    rows.append((tr("Set"), teeth(on.set), teeth(proposed.set), ""))
    doubts = set_doubts(bike, proposed)
    rows += [(listed.title(), *listed.compared(on, proposed, doubts)[:3]) for listed in (RATIO, ROLLING, *CHAIN)]
    rows.append((tr("Links that fit"), links_that_fit(on), links_that_fit(proposed), ""))
    rows.append((tr("Change of the final ratio"), "", signed_percent(change(on, proposed)), ""))
    wide = max(len(label) for label, *_ in rows)
    return [f"{label:<{wide}}{a:>14}{b:>14} {off}".rstrip() for label, a, b, off in rows]


def _gear_table(rows: tuple[GearRow, ...]) -> list[str]:
    fitted, proposed = tr("fitted"), trc("in a narrow column", "proposed")
    lines = [
        f"{'':4}{tr('overall ratio'):^20}{tr('step'):>8}{tr('after shift'):>13}{tr('km/h at the redline'):^24}"
        f"{tr('rpm at 100 km/h'):^28}",
        f"{tr('gear'):4}{fitted:>10}{proposed:>10}{'':8}{tr('rpm'):>13}{fitted:>12}{proposed:>12}{fitted:>14}{proposed:>14}",
    ]
    for row in rows:
        step = percent(row.step, 1)
        lines.append(
            f"{row.gear:>4}{number(row.overall[0], 1, 3):>10}{number(row.overall[1], 1, 3):>10}{step:>8}"
            f"{number(row.after_shift, RPM, 0):>13}"
            f"{number(row.speed_at_redline[0], KMH):>12}{number(row.speed_at_redline[1], KMH):>12}"
            f"{''.join(f'{told:>14}' for told in engine_speeds_told(row))}"
        )
    return lines
