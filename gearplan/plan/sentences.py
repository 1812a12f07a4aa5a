"""Numbers turned into plain words and tables of plain text."""

from __future__ import annotations

import math
import re

from gearplan.bike.profile import Bike
from gearplan.bike.units import KMH, MM, MPH, RPM
from gearplan.plan.compare import GearRow, gear_rows
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.evaluate import SetResult, evaluate
from gearplan.plan.findings import Finding, Level
from gearplan.plan.grid import Exchange
from gearplan.plan.quantities import CHAIN, RATIO, ROLLING

_FIELD_NAME = re.compile(r" \(\[\w+\] \w+\)")

#: The verdict as it is said to a person.
VERDICT: dict[Level, str] = {"fits": "Fits", "check": "Check", "does not fit": "Does not fit"}


def teeth(chosen: DriveSet) -> str:
    """Front and rear teeth as the trade writes them: "15/46"."""
    return f"{_or_dash(chosen.front)}/{_or_dash(chosen.rear)}"


def chain_name(chosen: DriveSet) -> str:
    """The rest of the set: "520 chain, 112 links"."""
    parts = [f"{_or_dash(chosen.chain)} chain", f"{_or_dash(chosen.links)} links"]
    return ", ".join(parts + ([chosen.tyre] if chosen.tyre else []))


def set_name(chosen: DriveSet) -> str:
    """The whole set in one line: "15/46, 520 chain, 112 links"."""
    return f"{teeth(chosen)}, {chain_name(chosen)}"


def signed_percent(fraction: float | None, digits: int = 1) -> str:
    """A change as "+2.2 %" or "−2.2 %"; "±0 %" for none, "–" where it is not known."""
    if fraction is None:
        return "–"
    text = f"{abs(fraction) * 100:.{digits}f} %"
    if float(text[:-2]) == 0:
        return "±0 %"
    return ("+" if fraction > 0 else "−") + text


def change(on: SetResult, proposed: SetResult) -> float | None:
    """Change of the final ratio against the fitted set, a fraction."""
    if on.final_ratio is None or proposed.final_ratio is None:
        return None
    return proposed.final_ratio / on.final_ratio - 1


def feel(fraction: float | None) -> str:
    """What a changed final ratio means, in words."""
    if fraction is None:
        return ""
    if abs(fraction) < 5e-4:
        return "same ratio as fitted"
    return f"{abs(fraction) * 100:.1f} % {'shorter: revs more' if fraction > 0 else 'taller: revs less'}"


def numbers_text(bike: Bike, chosen: DriveSet) -> str:
    """The answer of `gearplan numbers` for people."""
    on, proposed = evaluate(bike, fitted(bike)), evaluate(bike, chosen)
    lines = [bike.name or "Unnamed bike", ""]
    lines += _block(on, proposed)
    rows = gear_rows(bike, on, proposed, 100 * KMH)
    if rows:
        lines += ["", *_gear_table(rows)]
    for title, result in (("Fitted", on), ("Proposed", proposed)):
        lines += ["", f"{title}: {set_name(result.set)}: {VERDICT[result.verdict].lower()}"]
        lines += [f"  {f.level}: {f.text}" + (f" [{f.source}]" if f.source else "") for f in result.findings]
        if on.set == proposed.set:
            break
    lines += [
        "",
        "Speeds are computed possibilities, not advice: obey limits. The maker's manual comes first.",
    ]
    return "\n".join(lines)


def _block(on: SetResult, proposed: SetResult) -> list[str]:
    rows = [("", "fitted", "proposed")]
    rows.append(("Set", teeth(on.set), teeth(proposed.set)))
    for listed in (RATIO, ROLLING, *CHAIN):
        before, after = (number(listed.value(result), listed.unit, listed.digits) for result in (on, proposed))
        rows.append((listed.title, before, after))
    rows.append(("Links that fit", links_that_fit(on), links_that_fit(proposed)))
    rows.append(("Change of the final ratio", "", signed_percent(change(on, proposed))))
    return [f"{label:<30}{a:>14}{b:>14}" for label, a, b in rows]


def _gear_table(rows: tuple[GearRow, ...]) -> list[str]:
    lines = [
        f"{'':4}{'overall ratio':^20}{'step':>8}{'after shift':>13}{'km/h at the redline':^24}{'rpm at 100 km/h':^20}",
        f"{'gear':4}{'fitted':>10}{'proposed':>10}{'':8}{'rpm':>13}{'fitted':>12}{'proposed':>12}"
        f"{'fitted':>10}{'proposed':>10}",
    ]
    for row in rows:
        step = "–" if row.step is None else f"{row.step * 100:.1f} %"
        lines.append(
            f"{row.gear:>4}{number(row.overall[0], 1, 3):>10}{number(row.overall[1], 1, 3):>10}{step:>8}"
            f"{number(row.after_shift, RPM, 0):>13}"
            f"{number(row.speed_at_redline[0], KMH, 1):>12}{number(row.speed_at_redline[1], KMH, 1):>12}"
            f"{number(row.engine_at_cursor[0], RPM, 0):>10}{number(row.engine_at_cursor[1], RPM, 0):>10}"
        )
    return lines


def links_that_fit(result: SetResult) -> str:
    """The even counts that fit, as a list of words."""
    fitting = result.run.links_that_fit
    return "–" if fitting is None else " ".join(map(str, fitting)) or "none"


def _or_dash(value: object) -> str:
    return "–" if value is None else str(value)


def signed(pair: tuple[float | None, float | None], unit: float, digits: int) -> str:
    """The second less the first in a unit, with its sign; "–" where either is not known."""
    if pair[0] is None or pair[1] is None:
        return "–"
    text = f"{abs(pair[1] - pair[0]) / unit:.{digits}f}"
    if float(text) == 0:
        return "±0"
    return ("+" if pair[1] > pair[0] else "−") + text


def exchange_text(chosen: DriveSet, exchanges: tuple[Exchange, ...]) -> str:
    """What one front tooth is worth at the rear, exactly, and which set comes nearest to the same ratio."""
    lines = []
    for e in exchanges:
        kind = "fewer" if e.front < (chosen.front or 0) else "more"
        sense = "more" if e.rear_worth > 0 else "fewer"
        off = "exactly" if abs(e.off) < 5e-5 else signed_percent(e.off, 2)
        lines.append(
            f"One front tooth {kind} acts like {abs(e.rear_worth):.2f} rear teeth {sense}; "
            f"nearest to the ratio of {teeth(chosen)}: {e.front}/{e.rear_nearest} ({off})."
        )
    return "\n".join(lines)


def chart_caption(result: SetResult) -> str:
    """What the speed chart rests on, with what is assumed."""
    rolls = {
        "measured": "rolling circumference measured",
        "size": "rolling circumference from the tyre's size",
        "size, assumed factor": "rolling circumference from the tyre's size, rolling factor assumed",
    }.get(result.rolls_by, "no rolling circumference yet")
    return f"Up-shifts at the redline; {rolls}. Possible speeds, not advice: obey limits."


def what_is_missing(result: SetResult, about: tuple[str, ...]) -> tuple[str, str]:
    """(what a page says for want of data, the field that would help first); empty words when nothing is missing."""
    needed = [f for f in result.findings if f.about in about and f.level != "fits"]
    field = next((f.field for f in needed if f.field), "")
    return "\n".join(in_words(f.text) for f in needed), field


def chart_in_words(on: SetResult, proposed: SetResult, unit: str) -> str:
    """The speed chart as a sentence, for whoever cannot see it."""
    factor = KMH if unit == "km/h" else MPH
    if proposed.speed_at_redline is None:
        return "No chart: " + " ".join(f.text for f in proposed.findings if f.field)
    last = len(proposed.speed_at_redline)
    text = f"Gear {last} reaches {proposed.speed_at_redline[-1] / factor:.0f} {unit} at the redline"
    if on.speed_at_redline is None:
        return text + "."
    return f"{text}, against {on.speed_at_redline[-1] / factor:.0f} {unit} as fitted."


def number(value: float | None, unit: float, digits: int) -> str:
    """A value in a unit with so many decimals; "–" where there is none."""
    return "–" if value is None else f"{value / unit:.{digits}f}"


def squat_sentence(on: SetResult, proposed: SetResult) -> str:
    """What the proposed set does to the rear under power, in words."""
    if on.anti_squat is None or proposed.anti_squat is None:
        return ""
    by = proposed.anti_squat - on.anti_squat
    if abs(by) < 0.005:
        return "Under power the rear behaves as before."
    much = "slightly " if abs(by) < 0.05 else ""
    more = "more" if (by > 0) == (proposed.anti_squat > 1) else "less"
    return f"Under power the rear {'extends' if proposed.anti_squat > 1 else 'squats'} {much}{more} than before."


def slack_sentence(proposed: SetResult, slack: float, in_slot: bool) -> str:
    """What slack the chain would have where the axle is drawn; never more certain than it can be."""
    links = proposed.set.links
    if links is None:
        return "Enter the chain's links to see its slack."
    if math.isnan(slack):
        return f"Too far back for {links} links: the chain would be tight."
    text = f"About {slack / MM:.0f} mm of slack with {links} links; a quarter of a millimetre of axle is some 26 mm "
    text += "of slack, so set it by measuring."
    return text if in_slot else f"Outside the adjuster's slot. {text}"


def in_words(text: str) -> str:
    """A finding's text without the names of fields in the file, for whoever has the form before them."""
    return _FIELD_NAME.sub("", text)


def reasons(result: SetResult) -> list[Finding]:
    """The findings that a person wants beside the verdict: what decided it, or what it mainly rests on."""
    level = result.verdict
    deciding = [f for f in result.findings if f.level == level and not f.aside]
    if level == "fits":
        deciding = [f for f in deciding if f.about in ("chain length", "front sprocket", "chain strength")]
    deciding.sort(key=lambda f: f.about != "chain length")
    return deciding + [f for f in result.findings if f.aside]
