"""Prints what chain, set and fitting job say outside the marks of the pseudo-language; for a process of its own.

`python -m tests.language.planned`: each unmarked text once, with where it comes from.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import replace

if __name__ == "__main__":
    os.environ["LANGUAGE"] = "qps"

from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.work.job import Job
from gearplan.plan.chain.wear import forecast_text, wear_state
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.job import card, finishing, history, job, parts, words
from gearplan.plan.job.steps.order import steps, targets_missing
from gearplan.plan.job.verdicts import step_state
from gearplan.plan.set import begun, conversion, grid, measurenext, quantities, sideview, verdict
from gearplan.plan.set import words as setwords
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.how.numbers import EXPLAINED, explain
from tests.language.unmarked import unmarked
from tests.plan.job import workshop
from tests.plan.set.test_as_written_down import bikes, sets

#: What a person typed or a maker is called: no translator is asked for it.
NAMES = (
    *(word for name in demo_bikes() for word in name.split()),
    "Mott, Machine Elements in Mechanical Design", "Jiang, Analysis and Design of Machine Elements",
    "Cossalter, Motorcycle Dynamics",
)  # fmt: skip


def of_a_finding(found: Finding) -> Iterator[str]:
    """What a finding says, and the source of its limit."""
    yield from (found.text, found.short, found.source)


def of_a_set(bike: Bike, chosen: DriveSet) -> Iterator[str]:
    """All that is said of one set."""
    on, result = evaluate(bike, fitted(bike)), judged(bike, evaluate(bike, chosen))
    for found in result.findings:
        yield from of_a_finding(found)
    said = verdict.verdict(result)
    yield from (said.head, said.passed_head, *said.told)
    for name in EXPLAINED:
        how = explain(name, bike, chosen, gear=1, cursor=27.0)
        yield from (how.title, how.formula, how.result, how.source, *(part for pair in how.inputs for part in pair))
    yield from (one.text for one in measurenext.measure_next(bike, result))
    yield from begun.begun(bike, result, "km/h")
    yield from conversion.cautions(bike, on, result)
    yield from of_words(bike, on, result)
    if (axle := result.run.axle_position) is not None:
        for by in (-0.05, 0.0, 0.02):
            yield from (f.text for f in sideview.with_axle_at(bike, result, axle + by).findings)


def of_words(bike: Bike, on: SetResult, result: SetResult) -> Iterator[str]:
    """The sentences of `plan.set.words`."""
    chosen = result.set
    yield setwords.links_that_fit(result)
    yield setwords.feel(setwords.change(on, result))
    yield setwords.exchange_text(chosen, grid.front_exchanges(chosen))
    yield from (setwords.chart_caption(result, share) for share in (0.0, 0.02))
    yield setwords.chart_in_words(on, result, "km/h")
    yield setwords.squat_sentence(on, result)
    yield setwords.cursor_sentence(on, result, 27.0, "km/h", bike.engine.end_rpm)
    yield setwords.slack_sentence(result, 0.03, False)
    yield from (one.title() for one in (quantities.RATIO, quantities.ROLLING, *quantities.CHAIN))
    yield from (title for title, _ in quantities.CHAIN_GROUPS)


def of_a_job(bike: Bike, doing: Job) -> Iterator[str]:
    """All that is said of one job."""
    listed = steps(bike, doing)
    for step in listed:
        yield from (step.title, *step.how, step.caution, step.tool)
        yield from (part for t in step.targets for part in (t.label, t.text))
        yield from (blank.label for blank in step.blanks)
        state = step_state(bike, doing, step)
        yield state.hindrance
        yield from (question.text for question in state.questions)
        for found in state.findings:
            yield from of_a_finding(found)
    yield from (found.text for found in targets_missing(listed))
    yield from (found.text for found in job.contradictions(doing))
    yield from (part for one in parts.parts(bike, doing) for part in (one.name, one.why))
    yield from (words.job_line(doing), words.reasons_told(doing), *card.due_words(doing), *card.label_lines(doing))
    yield from (finishing.hinders_finish(bike, doing), *finishing.asked_before_finishing(bike, doing))
    yield from job.asked_before_riding(bike, doing)


def jobs() -> Iterator[tuple[Bike, Job]]:
    """Jobs that differ in what comes off and how the chain is closed, blank, in order and out of it."""
    bike = workshop.serviced()
    for one in (bike, replace(bike, service=type(bike.service)())):
        for chosen in (workshop.CONVERTED, DriveSet(14, 46, 112, "520"), DriveSet(15, 46, 108, "520"), fitted(bike)):
            begun_job = replace(job.begin(one, chosen, workshop.DAY), odometer_km=18650.0)
            for closed in ("rivet link", "clip link", "endless"):
                yield one, replace(begun_job, closed=closed)
            blanks = [blank for step in steps(one, begun_job) for blank in step.blanks]
            for table in (workshop.GOOD, _WRONG, _FAR):
                filled = begun_job
                for blank in blanks:
                    filled = job.with_reading(filled, blank.key, table.get(blank.key, workshop.GOOD[blank.key]))
                yield one, filled
                for step in steps(one, filled):
                    filled = job.with_reason(filled, step.key, "–")
                yield one, replace(filled, signed=tuple((step.key, "M. K.") for step in steps(one, filled)))


_WRONG = {
    "gauge_length": "324", "links": "110", "press_width": "17.9", "flare_1_after": "5.0", "flare_2_after": "6.1",
    "slack_1": "12", "slack_2": "45", "again_1": "50", "again_2": "50", "again_3": "51", "again_4": "50",
    "align_left": "581", "axle_now": "600", "rear_setting": "60", "front_setting": "20", "line_side": "left",
    "line_offset": "3", "line_clear": "0", "retorque_axle": "no", "retorque_nuts": "no", "base_length": "321.5",
    "axle_setting": "80",
}  # fmt: skip
_FAR = {
    "gauge_length": "300", "press_width": "1.75", "flare_1_after": "565", "slack_1": "310", "axle_setting": "9.3",
    "line_side": "right", "line_offset": "", "base_length": "500", "links": "x", "axle_now": "556",
    "press_beside_1": "17.1", "press_beside_2": "17.1",
}  # fmt: skip


def every() -> Iterator[tuple[str, str]]:
    """Each text with where it comes from."""
    for name, bike in bikes():
        for chosen in sets(bike):
            yield from ((name, text) for text in of_a_set(bike, chosen))
        if (state := wear_state(bike)) is not None:
            yield name, forecast_text(state)
        blank = with_value(
            with_value(bike, "chassis", "axle_range_mm", None), "chassis", "adjuster_left_mm", (5.0, 9.0)
        )
        yield from ((name, text) for text in of_a_set(blank, fitted(blank)))
    for bike, doing in jobs():
        yield from (("job", text) for text in of_a_job(bike, doing))
        done = replace(bike, jobs=(replace(doing, state="fitted"),))
        due = history.chain_due(done, workshop.DAY.replace(year=2027), now_km=40000.0)
        yield "due", "" if due is None else due.finding.text


def main() -> int:
    """Print what stands outside the marks; returns the number of such texts, at most 1."""
    service, good = workshop.SERVICE, workshop.GOOD
    typed = [getattr(service, key) for key in service.__slots__ if key.endswith("_from") or key == "slack_how"]
    names = (*NAMES, *filter(None, typed), good["lever"], good["marks_left"])
    seen: set[str] = set()
    found = 0
    for where, text in every():
        if text not in seen and (odd := unmarked(text, names)):
            found += 1
            print(f"{where}: {odd!r} in {text!r}")
        seen.add(text)
    print(f"{found} of {len(seen)} texts")
    return min(found, 1)


if __name__ == "__main__":
    sys.exit(main())
