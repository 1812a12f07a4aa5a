"""Finishing a job: what was entered for the old set moves with the set, and the job keeps what it rested on."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from gearplan.bike.files.bikefile import bike_from_text, text_with
from gearplan.bike.profile import Bike, Chassis, NewChain, Wear, with_value
from gearplan.bike.work.job import Job
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.job.finishing import after_ride, asked_before_finishing, finish, hinders_finish
from gearplan.plan.job.job import NotYet, begin, sign, with_job, with_reading, with_reason
from gearplan.plan.job.kept import bike_of
from gearplan.plan.job.steps.order import steps
from gearplan.plan.job.steps.scope import new_set
from gearplan.plan.job.words import job_line, job_title
from gearplan.plan.pull.pull import counter_factor
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import speedometer_factor, speedometer_finding
from gearplan.sheet.fitting.content import fitting_sheet
from tests.plan.job.workshop import CONVERTED, DAY, conversion, serviced, signed

SHORTER = DriveSet(14, 46, 112, "520")


def done(bike: Bike, chosen: DriveSet, *, axle: str | None = None) -> tuple[Bike, Job]:
    """The bike with a job for a set finished on it, and that job as it was before."""
    job = signed(bike, replace(begin(bike, chosen, DAY, "M. K."), odometer_km=18650.0))
    job = job if axle is None else with_reading(job, "axle_now", axle)
    return finish(with_job(bike, job, job), job), job


@pytest.mark.parametrize("sensor", ["output shaft", "front wheel", "rear wheel"])
def test_the_instrument_shows_after_finishing_what_was_computed_before(sensor: str) -> None:
    bike = with_value(serviced(), "speedometer", "sensor", sensor)
    after, _ = done(bike, SHORTER)
    assert fitted(after) == SHORTER
    for factor in (speedometer_factor, counter_factor):
        wanted, found = factor(bike, SHORTER), factor(after, SHORTER)
        assert wanted is not None
        assert found == pytest.approx(wanted, abs=5e-5)


def test_a_wrong_speedometer_does_not_become_right_by_finishing() -> None:
    bike = with_value(with_value(serviced(), "speedometer", "sensor", "output shaft"), "speedometer",
                      "indicated_over_true", 1.06)  # fmt: skip
    before = speedometer_finding(bike, SHORTER)
    after = speedometer_finding(done(bike, SHORTER)[0], SHORTER)
    assert before is not None
    assert after is not None
    assert (before.level, after.level) == ("check", "check")
    assert after.value == pytest.approx(before.value, abs=0.1)


def test_where_nobody_knows_what_the_sensor_sees_the_old_sets_figures_go() -> None:
    bike = with_value(with_value(serviced(), "speedometer", "sensor", None), "speedometer", "distance_over_true", 1.02)
    after, _ = done(bike, SHORTER)
    assert after.speedometer.indicated_over_true is None
    assert after.speedometer.distance_over_true is None
    same, _ = done(bike, fitted(bike))
    assert same.speedometer == bike.speedometer


def test_figures_beyond_the_bounds_of_their_fields_are_not_kept() -> None:
    bike = with_value(serviced(), "speedometer", "sensor", "output shaft")
    job = signed(bike, replace(begin(bike, DriveSet(15, 120, 112, "520"), DAY, "M. K."), odometer_km=1.0))
    after = finish(with_job(bike, job, job), job)
    assert after.speedometer.indicated_over_true is None
    assert bike_from_text(text_with(after, ""), "x").bike == after


def test_wheelbase_and_centre_of_mass_move_with_the_axle() -> None:
    bike = serviced()
    after, _ = done(bike, SHORTER, axle="588")
    by = (588 - 583) * math.cos(math.radians(bike.chassis.swingarm_angle_deg or 0))
    assert after.chassis.axle_now_mm == 588
    assert after.chassis.wheelbase_mm == pytest.approx(1415 + by, abs=0.05)
    assert after.chassis.com_ahead_of_rear_axle_mm == pytest.approx(
        (bike.chassis.com_ahead_of_rear_axle_mm or 0) + by, abs=0.05
    )
    # The same set's numbers are those it had as the proposed one.
    one, other = evaluate(bike, SHORTER).run, evaluate(after, SHORTER).run
    assert other.wheelbase == pytest.approx(one.wheelbase, abs=1e-4)
    assert other.front_load_share == pytest.approx(one.front_load_share, abs=1e-4)


def test_an_axle_that_was_not_measured_moves_them_as_computed() -> None:
    bike = serviced()
    after, _ = done(bike, SHORTER, axle="")
    assert after.chassis.axle_now_mm is None
    computed = evaluate(bike, SHORTER).run
    assert computed.wheelbase is not None
    # The chain stays: 112 links of it put the axle 4.6 mm farther back than new ones would, on either set.
    assert after.chassis.wheelbase_mm == pytest.approx(1000 * computed.wheelbase + 4.6, abs=0.15)
    after, _ = done(bike, replace(SHORTER, chain="525"), axle="")
    computed = evaluate(bike, replace(SHORTER, chain="525")).run
    assert computed.wheelbase is not None
    assert after.chassis.wheelbase_mm == pytest.approx(1000 * computed.wheelbase, abs=0.05)


def test_what_is_left_in_the_adjuster_moves_with_the_axle() -> None:
    bike = with_value(serviced(), "chassis", "adjuster_left_mm", (25.0, 11.0))
    after, _ = done(bike, SHORTER, axle="588")
    assert after.chassis.adjuster_left_mm == pytest.approx((30.0, 6.0))
    # Beyond the end there is nothing left, not less than nothing.
    short = with_value(bike, "chassis", "adjuster_left_mm", (25.0, 4.0))
    assert done(short, SHORTER, axle="588")[0].chassis.adjuster_left_mm == pytest.approx((30.0, 0.0))


def test_a_chain_that_a_job_put_on_new_is_not_taken_for_a_worn_one() -> None:
    bike = replace(serviced(), chassis=Chassis(adjuster_left_mm=(20.0, 20.0), slack_mm=30.0), wear=Wear())
    after, _ = done(bike, CONVERTED, axle="")
    # It stands where the job put it: from there its own set moves the axle by what it has settled, not by 3 mm.
    moves = evaluate(after, CONVERTED).run.moves
    assert moves is not None
    assert -0.7e-3 < moves < 0
    later = with_value(after, "wear", "odometer_km", 18650.0 + 6000)
    worn = evaluate(later, CONVERTED).run.moves
    assert worn is not None
    assert worn < -3e-3
    other = evaluate(with_value(after, "final_drive", "links", 110), replace(CONVERTED, links=110)).run.moves
    assert other is not None
    assert other < -3e-3


def test_a_measured_axle_is_taken_also_where_the_set_stays() -> None:
    bike = serviced()
    after, _ = done(bike, fitted(bike), axle="585")
    assert after.chassis.axle_now_mm == 585
    assert after.chassis.wheelbase_mm == pytest.approx(1415 + 2 * math.cos(math.radians(8.5)), abs=0.06)
    assert done(bike, fitted(bike), axle="")[0].chassis == bike.chassis


def test_what_was_entered_of_the_new_chain_is_the_fitted_ones_after_finishing() -> None:
    bike = replace(serviced(), new_chain=NewChain(CONVERTED.chain, 38.4, 1.31))
    job = signed(bike, conversion(bike))
    after = finish(with_job(bike, job, job), job)
    assert (after.final_drive.chain_tensile_kn, after.final_drive.chain_mass_kg_per_m) == (38.4, 1.31)
    assert after.new_chain == NewChain()
    assert evaluate(after, fitted(after)).strength.tensile == evaluate(bike, CONVERTED).strength.tensile == 38_400
    other = replace(bike, new_chain=NewChain("630", 50.0))
    after = finish(with_job(other, job, job), job)
    assert (after.final_drive.chain_tensile_kn, after.new_chain) == (None, other.new_chain)


def test_a_job_that_renews_the_chain_alone_counts_with_the_new_ones_strength_and_way() -> None:
    bike = replace(serviced(), new_chain=NewChain("520", 38.4, 1.31))
    chosen = replace(fitted(bike), new_chain=True)
    job = begin(bike, chosen, DAY)
    assert (job.new_chain, job.new_front, job.new_rear, job.opened) == ("yes", "no", "no", "cut")
    assert new_set(job) == chosen
    assert job_title(job) == "New chain: 15/46, 520 chain, 112 links"
    assert evaluate(bike, new_set(job)).strength.tensile == 38_400
    after, _ = done(bike, chosen, axle="")
    assert after.final_drive.chain_tensile_kn == 38.4
    # Where it stood with the old chain, it stands no longer.
    assert after.chassis.axle_now_mm is None
    moves = evaluate(bike, chosen).run.moves
    assert moves is not None
    level = moves * 1e3 * math.cos(math.radians(8.5))
    assert after.chassis.wheelbase_mm == pytest.approx(1415 + level, abs=0.06)


def test_a_finished_jobs_sheet_never_changes() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    at_the_bench = fitting_sheet(bike, job)
    after = finish(with_job(bike, job, job), job)
    kept = after.jobs[-1]
    changed = replace(
        after,
        chassis=replace(after.chassis, wheelbase_mm=1500.0, swingarm_angle_deg=11.0, slack_mm=44.0, axle_range_mm=None),
        service=replace(after.service, front_nut_nm=55.0, slack_range_mm=(40.0, 50.0), front_nut_locked_by="staking"),
        limits=replace(after.limits, chain_elongation_percent=0.3, front_teeth_min=17),
        tyre=replace(after.tyre, rolling_circumference_mm=1800.0),
        load=replace(after.load, bike_kg=120.0),
        engine=replace(after.engine, torque=None),
    )
    for today in (after, changed, bike_from_text(text_with(changed, ""), "x").bike):
        sheet = fitting_sheet(today, today.jobs[-1])
        for name in ("rows", "verdict", "reasons", "steps", "parts", "lacking", "fitted", "proposed", "title"):
            assert getattr(sheet, name) == getattr(at_the_bench, name), name
        assert sheet.view is not None
    assert not [f for f in fitting_sheet(changed, kept).reasons if "today" in f]


def test_changed_service_data_do_not_take_back_what_was_signed() -> None:
    bike = serviced()
    after, _ = done(bike, SHORTER)
    assert not hinders_finish(with_value(after, "service", "axle_nm", 40), after.jobs[-1])


def test_the_check_after_the_ride_takes_a_slack_range_that_is_entered_later() -> None:
    bike = with_value(serviced(), "service", "slack_range_mm", None)
    after, _ = done(bike, SHORTER)
    kept = after.jobs[-1]
    later = with_value(after, "service", "slack_range_mm", (26.0, 36.0))
    last = steps(bike_of(later, kept), kept)[-1]
    assert last.targets[0].text.startswith("26 to 36 mm")
    ended = after_ride(later, sign(later, _all_of(kept, last.key, later), last, "M. K."))
    assert ended.state == "done"
    other = with_value(later, "service", "slack_range_mm", (5.0, 6.0))
    assert steps(bike_of(other, ended), ended)[-1].targets[0].text.startswith("26 to 36 mm")


def _all_of(job: Job, key: str, bike: Bike) -> Job:
    from tests.plan.job.workshop import GOOD

    step = next(step for step in steps(bike, job) if step.key == key)
    for blank in step.blanks:
        job = with_reading(job, blank.key, GOOD[blank.key])
    return job


def test_a_job_of_before_is_computed_from_today_and_says_so() -> None:
    bike = serviced()
    after, _ = done(bike, SHORTER)
    old = replace(after.jobs[-1], profile=())
    sheet = fitting_sheet(replace(after, jobs=(old,)), old)
    assert any("today's bike data" in text for text in sheet.reasons)
    assert not any("today's bike data" in text for text in fitting_sheet(bike, begin(bike, SHORTER, DAY)).reasons)


def test_what_is_kept_with_a_job_is_checked_like_the_bike_itself() -> None:
    after, _ = done(serviced(), SHORTER)
    text = text_with(after, "")
    assert "[job.profile.chassis]" in text
    broken = text.replace("[job.profile.chassis]", '[job.profile.chassis]\nwheelbase_mm = "far"', 1)
    broken = broken.replace("wheelbase_mm = 1415", "# gone", 2) if broken.count("wheelbase_mm = 1415") else broken
    with pytest.raises(ValueError, match="profile"):
        bike_from_text(broken, "x")
    odd = bike_from_text(text.replace("[job.profile.chassis]", "[job.profile.chassis]\nwheels = 3", 1), "x")
    assert any("wheels" in notice for notice in odd.notices)


def test_finishing_still_asks_for_every_signature() -> None:
    bike = serviced()
    with pytest.raises(NotYet, match="Not signed off yet"):
        finish(bike, begin(bike, SHORTER, DAY))


def test_an_axle_far_from_where_the_links_put_it_is_asked_about_before_it_moves_anything() -> None:
    bike = serviced()
    job = signed(bike, conversion(bike))
    assert asked_before_finishing(bike, job) == ()
    far = with_reading(job, "axle_now", "590")
    with pytest.raises(NotYet, match="Align the wheel"):
        finish(with_job(bike, far, far), far)
    meant = with_reason(far, "align", "swingarm figures are estimates")
    (told,) = asked_before_finishing(bike, meant)
    assert told.startswith("Pivot to axle 590 mm, 19 mm behind what is computed for 112 links: 571 mm.")
    assert told.endswith("Finishing takes the axle, the wheelbase and the centre of mass from this reading.")
    assert "1 step signed with a reason: Align the wheel" in job_line(meant)
    assert finish(with_job(bike, meant, meant), meant).chassis.axle_now_mm == 590
