"""What the trade asks of the steps: their order, what they warn of, and what nobody may ride on without."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from gearplan.bike.profile import Bike
from gearplan.bike.work.job import Job
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.finishing import after_ride, finish, signed_off
from gearplan.plan.job.job import (
    asked_before_riding,
    begin,
    not_safe_to_ride,
    sign,
    signed_with_reason,
    still_to_sign,
    with_job,
    with_reading,
    with_reason,
)
from gearplan.plan.job.parts import parts
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.scope import INSPECTED
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.job.verdicts import StepState, step_state
from gearplan.plan.job.words import job_line
from gearplan.sheet.fitting.content import fitting_sheet
from tests.plan.job.workshop import DAY, conversion, serviced, signed, written

ANSWERS = tuple(itertools.product(("yes", "no"), repeat=4))


def any_jobs() -> list[Job]:
    """Every combination of answers."""
    found = []
    for (front, rear, chain, wheel), opened, closed in itertools.product(
        ANSWERS, ("cut", "split at its link", "left closed"), ("rivet link", "clip link", "endless")
    ):
        changed = {"new_front": front, "new_rear": rear, "new_chain": chain, "wheel_out": wheel}
        found.append(replace(conversion(serviced()), **changed, opened=opened, closed=closed))  # type: ignore[arg-type]
    return found


def step(job: Job, key: str, bike: Bike | None = None) -> Step:
    return next(one for one in steps(bike or serviced(), job) if one.key == key)


def words(one: Step) -> str:
    return " ".join((one.title, *one.how, one.caution))


def state(key: str, **texts: str) -> StepState:
    bike = serviced()
    job = replace(conversion(bike), readings=tuple(texts.items()))
    return step_state(bike, job, step(job, key))


def test_the_brake_is_firm_before_anything_is_held_with_it_or_moves() -> None:
    for job in any_jobs():
        order = [one.key for one in steps(serviced(), job)]
        brake = order.index("brake")
        if "wheel_in" in order:
            assert brake == order.index("wheel_in") + 1
        else:
            assert brake == order.index("axle") + 1
        for later in ("front_torque", "cover", "ride"):
            assert later not in order or order.index(later) > brake


def test_the_chain_line_is_checked_before_the_chain_is_cut_and_closed() -> None:
    for job in any_jobs():
        order = [one.key for one in steps(serviced(), job)]
        changes = "yes" in (job.new_front, job.new_rear) or job.chain != job.old_chain
        assert ("chain_line" in order) == changes
        for later in {"count", "press", "rivet", "clip", "axle"} & set(order):
            assert not changes or order.index("chain_line") < order.index(later)


@pytest.mark.parametrize(
    ("texts", "level", "told"),
    [
        ({"line_side": "in line", "line_clear": "12"}, "fits", "are in line"),
        ({"line_side": "left", "line_offset": "2.5", "line_clear": "12"}, "check", "stands 2.5 mm to the left"),
        ({"line_side": "right", "line_clear": "12"}, "does not fit", "by how much it stands to the right"),
        ({"line_side": "in line", "line_offset": "2.5", "line_clear": "12"}, "does not fit", "don't go together"),
    ],
)
def test_the_chain_line_is_written_down_and_never_held_to_an_invented_limit(
    texts: dict[str, str], level: str, told: str
) -> None:
    found = state("chain_line", **texts)
    assert found.findings[0].level == level
    assert told in found.findings[0].text
    assert found.findings[0].limit is None
    assert bool(found.hindrance) == (level == "does not fit")


def test_a_chain_that_touches_the_tyre_cannot_be_signed() -> None:
    assert "must clear both" in state("chain_line", line_side="in line", line_clear="0").hindrance
    assert "Still needed" in state("chain_line", line_side="in line").hindrance
    assert "write in line, left or right" in state("chain_line", line_side="somewhere", line_clear="3").hindrance


@pytest.mark.parametrize(
    ("links", "rear", "turns"), [(112, 46, "three turns"), (114, 60, "two turns"), (130, 38, "four turns")]
)
def test_the_slack_is_measured_until_the_whole_chain_has_passed(links: int, rear: int, turns: str) -> None:
    job = replace(conversion(serviced()), links=links, rear=rear)
    assert f"At 4 places over {turns} of the wheel" in words(step(job, "slack"))


@pytest.mark.parametrize(
    ("key", "told"),
    [
        ("lever", "Do not pull the clutch lever while its slave cylinder is off"),
        ("lever", "Unplug a sensor on the cover, note its shim"),
        ("slacken", "adjuster marks, left and right"),
        ("slacken", "back both adjusters off by the same amount"),
        ("wheel_out", "Wheel-speed sensor off first"),
        ("wheel_out", "torque arm"),
        ("wheel_out", "The sprocket carrier may fall out: keep its inner spacer"),
        ("wheel_out", "Never lay the wheel on its disc or sensor ring"),
        ("cut", "flush with the outer plate"),
        ("rear", "Carrier clean"),
        ("rear", "Thread locker only as the manual says"),
        ("rear", "fully home"),
        ("wheel_in", "Axle cleaned and greased"),
        ("wheel_in", "caliper bracket in its lug"),
        ("wheel_in", "its gap as the manual says"),
        ("count", "Offer it up round both sprockets before cutting"),
        ("count", "Chain inside the swingarm and over its slider"),
        ("press", "Push the new link through from the inside"),
        ("axle", "remove the rag"),
        ("lubricate", "run in gently"),
        ("lubricate", "lubricated again as its maker says"),
        ("ride", "quick-shifter, traction control, ABS and speed limiter"),
        ("ride", "Gear indicator"),
    ],
)
def test_the_trades_own_advice_is_said_in_its_step(key: str, told: str) -> None:
    assert told in words(step(conversion(serviced()), key))


def test_a_clip_has_its_direction() -> None:
    clip = step(replace(conversion(serviced()), closed="clip link"), "clip")
    assert "its closed end leading in the way the chain runs" in words(clip)
    assert "over its slider" in words(clip)


def test_parts_for_the_track_lead_to_no_ride_on_the_road() -> None:
    road = step(conversion(serviced()), "ride")
    track = step(replace(conversion(serviced()), track_only="yes"), "ride")
    assert road.title == "Test ride"
    assert track.title == "Roll test, then closed ground only"
    assert "no ride on the road" in track.caution
    assert "Obey limits" not in words(track)


def test_everything_that_is_open_is_inspected() -> None:
    listed = {blank.label for blank in step(conversion(serviced()), "inspect").blanks}
    for part in ("Sprocket carrier's bearing", "Output shaft's splines", "Swingarm pivot", "Old sprockets",
                 "Sensor and its ring", "Tyre"):  # fmt: skip
        assert part in listed
    only_chain = replace(conversion(serviced()), new_front="no", new_rear="no", wheel_out="no")
    assert len(step(only_chain, "inspect").blanks) == 3


def test_what_was_replaced_on_inspection_is_on_the_parts_list() -> None:
    bike = serviced()
    job = conversion(bike)
    assert not {part.key for part in parts(bike, job)} & {key for key, _ in INSPECTED}
    job = with_reading(with_reading(job, "look_cush", "replaced"), "look_pads", "good")
    listed = {part.key: part for part in parts(bike, job)}
    assert (listed["look_cush"].action, listed["look_cush"].name) == ("order", "Cush rubbers")
    assert "look_pads" not in listed
    # New sprockets are on the list already.
    job = with_reading(job, "look_sprockets", "replaced")
    assert "look_sprockets" not in {part.key for part in parts(bike, job)}
    assert "look_sprockets" in {part.key for part in parts(bike, replace(job, new_front="no", new_rear="no"))}
    assert "bearings" in listed


def test_an_overtorqued_nut_is_renewed_and_a_loose_one_torqued_again() -> None:
    tight = state("front_torque", front_setting="110")
    assert "Slacken it, inspect stud and thread, fit a new nut, then torque again" in tight.hindrance
    loose = state("front_torque", front_setting="80")
    assert "too loose. Torque it again" in loose.hindrance
    assert "new nut" not in loose.hindrance


@pytest.mark.parametrize(
    ("text", "level"),
    [("571.2", "fits"), ("573.4", "fits"), ("568", "fits"), ("574", "check"), ("567", "check"), ("586.4", "check")],
)
def test_the_axle_as_measured_is_held_against_the_links(text: str, level: str) -> None:
    found = state("align", align_left="500", align_right="500", axle_now=text)
    assert [f.level for f in found.findings if f.about == "axle"] == ([level] if level == "fits" else [])
    if level == "check":
        assert "A pair of links is 16 mm of axle: count the links" in found.hindrance
        assert [q.blank for q in found.questions] == ["axle_now"]
    else:
        assert not found.hindrance


def test_a_worn_chain_that_stays_may_stand_farther_back() -> None:
    bike = serviced()
    job = replace(begin(bike, fitted(bike), DAY, "M. K."), odometer_km=19000.0)
    new = {"align_left": "5", "align_right": "5", "axle_now": "584", "gauge_links": "20", "gauge_length": "317.5"}
    worn = new | {"gauge_length": "319.9"}
    unmeasured = {key: text for key, text in new.items() if not key.startswith("gauge")}
    asked = []
    for texts in (new, worn, unmeasured, unmeasured | {"axle_now": "595"}, unmeasured | {"axle_now": "575"}):
        written_down = replace(job, readings=tuple(texts.items()))
        found = step_state(bike, written_down, step(written_down, "align"))
        asked.append(bool(found.questions))
    assert asked == [True, False, False, True, True]


def test_the_test_ride_asks_for_what_it_relies_on() -> None:
    bike = serviced()
    job = conversion(bike)
    asked = asked_before_riding(bike, job)
    for title in ("Torque the axle", "Pump the brake up", "Torque the front nut", "Fit the rear sprocket", "Rivet"):
        assert any(text.startswith(title) and text.endswith("not signed off") for text in asked), title
    assert asked[-1].startswith("Also not signed off: Secure the bike; ")
    ready = signed(bike, job)
    assert asked_before_riding(bike, ready) == ()
    reasoned = with_reason(ready, "front_torque", "torque wrench out for calibration")
    assert asked_before_riding(bike, reasoned) == (
        "Torque the front nut, wheel held: signed with a reason, “torque wrench out for calibration”",
    )
    assert not_safe_to_ride(bike, reasoned) == asked_before_riding(bike, reasoned)
    # A reading that is wrong is told with the reason, in whatever step it stands.
    loose = with_reason(with_reading(ready, "front_setting", "60"), "front_torque", "no time")
    (told,) = asked_before_riding(bike, loose)
    assert told.startswith("Torque the front nut, wheel held: signed with a reason, “no time”. Torqued to 60 N·m")
    assert "too loose" in told
    tight = with_reason(with_reading(ready, "slack_1", "9"), "slack", "no time")
    (told,) = asked_before_riding(bike, tight)
    assert told.startswith("Set the slack at the tightest point: signed with a reason, “no time”. ")
    assert "too tight" in told.lower()
    assert told.count("Slacken off. Tight spots:") == 1
    harmless = with_reason(ready, "lubricate", "chain is dry film")
    assert asked_before_riding(bike, harmless) == ()
    assert [one.key for one, _ in signed_with_reason(harmless)] == ["lubricate"]


def test_reasons_stand_in_the_history_and_at_the_head_of_the_sheet() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    assert "reason" not in job_line(job)
    assert fitting_sheet(bike, job).exceptions == ()
    for key, why in (("front_torque", "wrench out"), ("brake", "bled tomorrow")):
        job = with_reason(job, key, why)
    told = "2 steps signed with a reason: Pump the brake up; Torque the front nut, wheel held"
    after = finish(with_job(bike, job, job), job)
    assert told in job_line(after.jobs[-1])
    assert fitting_sheet(after, after.jobs[-1]).exceptions == (f"{told}.",)
    assert fitting_sheet(after, after.jobs[-1], filled=False).exceptions == ()


def test_a_ride_signed_before_the_rest_stands_at_the_head_of_the_sheet() -> None:
    bike = serviced()
    job = conversion(bike)
    job = sign(bike, job, step(job, "ride"), "M. K.")
    told = fitting_sheet(bike, job).exceptions
    assert len(told) == 1
    assert told[0].startswith(
        "Test ride signed, but not signed off: Fit the rear sprocket, 47 teeth; Pump the brake up"
    )


def test_the_check_after_the_ride_asks_for_the_nuts_and_begins_the_wear_log() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    after = finish(with_job(bike, job, job), job)
    open_job = after.jobs[-1]
    last = step(open_job, "recheck", after)
    assert [blank.key for blank in last.blanks] == ["recheck_slack", "retorque_axle", "retorque_nuts", "base_length"]
    filled = written(after, open_job)
    done = signed_off(after, open_job, sign(after, filled, last, "M. K."))
    assert done.jobs[-1].state == "done"
    assert done.wear.gauge_links == 20
    assert done.wear.readings == ((18650.0, 317.6),)
    no = step_state(after, with_reading(filled, "retorque_axle", "no"), last)
    assert "The axle was not torqued again." in [f.text for f in no.findings if f.level == "check"]
    wrong = step_state(after, with_reading(filled, "base_length", "410 mm"), last)
    assert "can't be right" in wrong.hindrance


def test_a_fitted_job_asks_only_for_the_check_after_the_ride() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    kept = finish(with_job(bike, job, job), job).jobs[-1]
    before = replace(kept, readings=tuple(r for r in kept.readings if not r[0].startswith(("line_", "marks_"))))
    assert [one.key for one in still_to_sign(bike, before, later=True)] == ["recheck"]
    assert after_ride(bike, before).state == "fitted"


def test_no_step_names_a_torque_or_limit_that_nobody_entered() -> None:
    bare = Bike()
    for chosen in (DriveSet(16, 47, 112, "525"), DriveSet(15, 46, 112, "520")):
        for one in steps(bare, begin(bare, chosen, DAY)):
            assert "N·m" not in words(one)
            assert not any(target.text for target in one.targets if target.field != "final_drive.links")


def test_what_the_trade_allows_stands_beside_the_makers_blank() -> None:
    bike = replace(serviced(), service=replace(serviced().service, alignment_mm=None))
    align = next(s for s in steps(bike, conversion(bike)) if s.key == "align")
    assert [(t.label, t.text) for t in align.targets] == [
        ("Left and right may differ by 1 mm (common practice); the maker's", "")
    ]
