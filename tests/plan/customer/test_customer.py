"""The customer's sentences: every figure walks back to `numbers`, words are right, nothing is surer than it is."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, FinalDrive, with_value
from gearplan.bike.stock import Stock, StockItem
from gearplan.bike.text.units import KMH
from gearplan.bike.text.written import counted, ordinal
from gearplan.commands.output.numbersjson import numbers
from gearplan.drive.motion.roadload import road_load
from gearplan.drive.motion.thrust import thrust
from gearplan.plan.customer.page import Asked, Customer, customer, usual_cruise
from gearplan.plan.customer.words import speedometer_sentence
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.doubts import top_speed_doubt
from gearplan.plan.pull.pull import pull
from gearplan.plan.pull.table import holding_gear, reserve
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.speedometer import rule_speed, speedometer_finding
from gearplan.plan.set.words import squat_sentence
from gearplan.plan.words import Speed, adverb, said, step_for
from tests.bike.strategies import bikes

BIKE = demo_bike().bike
ON = fitted(BIKE)
STOCK = Stock((StockItem("520", "front", 16, 1, 21.5), StockItem("520", "chain", 120, 1, 90.0)))


def text(content: Customer, about: str) -> str:
    return next((s.text for s in content.sentences if s.about == about), "")


@given(
    name=st.sampled_from(sorted(demo_bikes())),
    front=st.integers(-2, 2),
    rear=st.integers(-4, 4),
    links=st.integers(-2, 2),
    cruise=st.integers(40, 180),
    unit=st.sampled_from(("km/h", "mph")),
    gear=st.integers(0, 5),
    tyre=st.sampled_from((None, "170/60-17")),
)
@settings(max_examples=60)
def test_every_figure_walks_back_to_numbers(
    name: str, front: int, rear: int, links: int, cruise: int, unit: str, gear: int, tyre: str | None
) -> None:
    bike = demo_bike(name).bike
    on = fitted(bike)
    chosen = replace(
        on,
        front=(on.front or 0) + front,
        rear=(on.rear or 0) + rear,
        links=(on.links or 0) + 2 * links,
        tyre=tyre,
    )
    asked = Asked(Speed(float(cruise), unit), Speed(float(cruise) / 2, unit), gear)
    content = customer(bike, chosen, asked, STOCK)
    assert len(content.sentences) <= 6
    told = numbers(bike, chosen)
    now, then = told["fitted"], told["proposed"]
    factor = 1.609344 if unit == "mph" else 1.0
    rpm = [n["rpm_at_100_kmh"][-1] * cruise * factor / 100 for n in (now, then)]
    top = [n["top_speed_kmh"] / factor for n in (now, then)]
    shown_at = round(rule_speed(bike) / Speed(1.0, unit).si)
    pulled = pull(bike, chosen)
    assert not isinstance(pulled, Finding)
    pulled_now = pull(bike, on)
    assert not isinstance(pulled_now, Finding)
    held = holding_gear(pulled, asked.cruise.si)
    holding = 1 if held is None else held + 1
    exact = {
        "rpm at cruise": rpm[1],
        "rpm less or more": abs(rpm[1] - rpm[0]),
        "change of engine speed, %": 100 * abs(rpm[1] / rpm[0] - 1),
        "top speed": top[1],
        "top speed less or more": abs(top[1] - top[0]),
        "gear of the top speed": then["top_speed_gear"],
        "front": then["front"],
        "rear": then["rear"],
        "links": then["links"],
        "chain size": float(then["chain"]),
        "speedometer at the true speed": then["speedometer_indicated_at_100_kmh"] * shown_at / 100,
        "gear that holds it": holding,
        "rpm in the gear that holds it": then["rpm_at_100_kmh"][holding - 1] * cruise * factor / 100,
        "gear named": gear,
        "gear now": 1 + held_now if (held_now := holding_gear(pulled_now, asked.cruise.si)) is not None else 1,
    }
    for sentence in content.sentences:
        if sentence.about == "fit":
            continue
        for figure in sentence.figures:
            assert abs(figure.shown - figure.exact) <= max(figure.step, 1e-9) * 1.0001, sentence
            if figure.of in exact:
                assert figure.exact == pytest.approx(exact[figure.of], rel=1e-9), (sentence, figure.of)
            elif figure.of == "change of pull, %":
                pulls = [pull(bike, s) for s in (on, chosen)]
                forces = [
                    float(thrust(p.machine, gear - 1 if gear else len(p.machine.overall) - 1, asked.pull_at.si))
                    for p in pulls
                    if not isinstance(p, Finding)
                ]
                assert figure.exact == pytest.approx(100 * abs(forces[1] / forces[0] - 1))
            else:
                assert figure.of in ("speed named", "price")
        words = re.sub(r"\d+/\d+-\d+", "", sentence.text)
        in_text = [float(n) for n in re.findall(r"\d+(?:\.\d+)?", words)]
        assert sorted(in_text) == sorted(f.shown for f in sentence.figures), sentence


def test_one_front_tooth_more_in_words() -> None:
    content = customer(BIKE, replace(ON, front=16), Asked(Speed(120.0), Speed(80.0)), STOCK)
    assert text(content, "engine") == (
        "At 120 km/h in top gear the engine turns at about 5150 rpm, about 300 fewer than now: about 6 % calmer."
    )
    assert text(content, "parts") == (
        "To buy: a front sprocket with 16 teeth; the parts cost 21.50. A used chain wears new sprockets out: unless it "
        "is nearly new, replace it with them."
    )
    assert "where the air holds it back; that is as fast as now" in text(content, "top speed")
    assert "about 119: probably less than true, which no rule allows" in text(content, "speedometer")
    assert text(content, "fit") == (
        "The chain fits. To be checked first: the speedometer, which would probably show the wrong speed."
    )


def test_nothing_changed_says_so() -> None:
    content = customer(BIKE, ON, Asked(), STOCK)
    assert text(content, "parts") == "Nothing has to be bought."
    assert text(content, "pull") == ""
    assert "than now" not in " ".join(s.text for s in content.sentences)


def test_singular_and_plural_and_lists() -> None:
    content = customer(BIKE, DriveSet(14, 48, 114, "520"), Asked(), STOCK)
    assert text(content, "parts") == (
        "To buy: a front sprocket with 14 teeth, a rear sprocket with 48 teeth and a 520 chain with 114 links."
    )
    assert counted(1, "tooth", "teeth") == "1 tooth"
    assert counted(2, "tooth", "teeth") == "2 teeth"
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st",
    ]  # fmt: skip


def test_the_price_is_left_out_where_a_part_has_none() -> None:
    assert "cost" not in text(customer(BIKE, DriveSet(16, 45, 112, "520"), Asked(), STOCK), "parts")
    cut = customer(BIKE, DriveSet(16, 46, 114, "520"), Asked(), STOCK)
    assert "the parts cost 111.50." in text(cut, "parts")
    cut = customer(BIKE, DriveSet(16, 46, 114, "520"), Asked(), replace(STOCK, currency="EUR"))
    assert "the parts cost 111.50\u00a0EUR." in text(cut, "parts")


def test_what_does_not_fit_is_said_plainly() -> None:
    content = customer(BIKE, replace(ON, front=13), Asked())
    assert (
        text(content, "fit")
        == "This set does not fit. Front sprocket 13 is smaller than this bike's smallest, 14 teeth."
    )
    doubtful = customer(demo_bike("Wren 125").bike, fitted(demo_bike("Wren 125").bike), Asked())
    assert text(doubtful, "fit") == "The chain fits. To be checked first: how far the rear tyre really rolls."


def test_a_speed_that_cannot_be_reached_is_said_so() -> None:
    wren = demo_bike("Wren 125").bike
    assert "does not reach 120 km/h" in text(customer(wren, fitted(wren), Asked()), "engine")
    assert usual_cruise(wren, "km/h").value < 90
    assert usual_cruise(BIKE, "km/h") == Speed(120.0)
    assert usual_cruise(BIKE, "mph") == Speed(75.0, "mph")
    assert usual_cruise(Bike(), "mph") == Speed(75.0, "mph")


def test_more_doubt_makes_weaker_words_and_rounder_numbers() -> None:
    assert adverb(5000, 0) == ""
    assert adverb(5000, 25) == "about "
    assert adverb(5000, 300) == "roughly "
    assert step_for(4687, 47) == 50
    assert said(4687, 47, "x").shown == 4700
    assert said(213.1, 8, "x").shown == 210
    assert said(0.2, 0, "x").shown == 0
    measured = customer(BIKE, replace(ON, front=16), Asked())
    guessed = with_value(with_value(BIKE, "tyre", "rolling_circumference_mm", None), "tyre", "rolling_factor", None)
    unsure = customer(guessed, replace(ON, front=16), Asked())
    steps = [
        next(f.step for s in c.sentences for f in s.figures if f.of == "rpm at cruise") for c in (measured, unsure)
    ]
    assert steps[1] > steps[0]
    assert any("assumed from its size" in words for words in unsure.assumptions)


def test_without_a_torque_curve_the_pull_goes_with_the_ratio() -> None:
    bike = with_value(BIKE, "engine", "torque", None)
    content = customer(bike, replace(ON, front=14), Asked())
    assert text(content, "pull") == "At the same engine speed it pulls about 7 % harder."
    assert text(content, "top speed") == ""
    assert "torque curve" in content.lacking[0]
    assert content.field == "engine.torque"


def test_pictures_say_what_the_sentences_say() -> None:
    content = customer(BIKE, replace(ON, front=14), Asked())
    _, engine, top = content.pictures
    assert engine.after_words in text(content, "engine")
    assert top.after_words in text(content, "top speed")
    assert engine.mark == 10500
    now = numbers(BIKE, replace(ON, front=14))
    assert engine.before == pytest.approx(now["fitted"]["rpm_at_100_kmh"][-1] * 1.2)
    assert top.after == pytest.approx(now["proposed"]["top_speed_kmh"])
    assert all(0 < (p.after or 0) <= p.end for p in content.pictures)


@given(bikes(), st.integers(0, 8), st.sampled_from((Speed(120.0), Speed(1.0), Speed(500.0, "mph"))))
@settings(max_examples=60)
def test_any_bike_has_a_page(bike: Bike, gear: int, cruise: Speed) -> None:
    chosen = replace(fitted(bike), front=17, rear=40)
    content = customer(bike, chosen, Asked(cruise, cruise, gear))
    assert 1 <= len(content.sentences) <= 6
    for sentence in content.sentences:
        assert sentence.text.endswith(".")
        assert "nan" not in sentence.text
        assert "inf" not in sentence.text.lower().replace("information", "")
    assert usual_cruise(bike, "km/h").si > KMH
    json.dumps([f.exact for s in content.sentences for f in s.figures], allow_nan=False)


@pytest.mark.parametrize("name", demo_bikes())
def test_the_top_speed_is_said_as_surely_as_it_is_known(name: str) -> None:
    bike = demo_bike(name).bike
    known = top_speed_doubt(bike, fitted(bike))
    assert known is not None
    [figure] = [
        figure
        for one in customer(bike, fitted(bike), Asked()).sentences
        for figure in one.figures
        if figure.of == "top speed"
    ]
    assert figure.step == said(known.value / KMH, known.half / KMH, "", 5).step


def test_what_is_incomplete_is_named_last() -> None:
    bike = replace(BIKE, final_drive=FinalDrive())
    told = text(customer(bike, fitted(bike), Asked(usual_cruise(bike, "km/h"), usual_cruise(bike, "km/h"), 0)), "fit")
    assert told.endswith("and the motorcycle's data, which are not complete.")


def test_nothing_is_said_of_parts_while_no_set_is_known() -> None:
    content = customer(Bike(), DriveSet(None, None, None, None), Asked())
    assert text(content, "parts") == ""
    assert text(customer(BIKE, ON, Asked()), "parts") == "Nothing has to be bought."


def test_a_chain_that_comes_new_is_not_called_used() -> None:
    assert "used chain" not in text(customer(BIKE, DriveSet(14, 48, 114, "520"), Asked()), "parts")
    assert "used chain" in text(customer(BIKE, replace(ON, rear=45), Asked()), "parts")


def test_a_cruise_that_top_gear_cannot_hold_names_the_gear_that_does() -> None:
    weak = with_value(BIKE, "engine", "torque", tuple((rpm, nm * 0.3) for rpm, nm in BIKE.engine.torque or ()))
    tall = replace(ON, front=18, rear=40)
    pulled = pull(weak, tall)
    assert not isinstance(pulled, Finding)
    assert pulled.top is not None
    last = len(pulled.machine.overall) - 1
    assert pulled.top.gear < last
    told = set()
    for kmh in range(60, 200, 2):
        cruise = Speed(float(kmh))
        sentence = text(customer(weak, tall, Asked(cruise, cruise)), "engine")
        left = reserve(pulled, cruise.si)
        load = pulled.road
        force = float(thrust(pulled.machine, last, cruise.si))
        holds = cruise.si <= pulled.machine.top_of(last) and force >= float(road_load(load, cruise.si))
        assert ("in top gear the engine turns" in sentence) == holds
        if not holds and left is not None and left.left >= 0:
            assert sentence.startswith(f"Top gear cannot hold {kmh} km/h: that takes ")
        told.add(sentence.split()[0])
    assert told == {"At", "Top", "It"}


def test_extending_and_squatting_are_not_more_or_less_of_each_other() -> None:
    on = evaluate(BIKE, ON)
    squats, extends = replace(on, anti_squat=0.92), replace(on, anti_squat=1.73)
    assert squat_sentence(squats, extends) == "Under power the rear extends; as fitted it squats."
    assert squat_sentence(extends, squats) == "Under power the rear squats; as fitted it extends."
    assert squat_sentence(extends, replace(on, anti_squat=1.9)) == "Under power the rear extends more than before."


@pytest.mark.parametrize("unit", ["km/h", "mph"])
def test_the_page_warns_of_the_speedometer_where_the_finding_does(unit: str) -> None:
    for rear in range(38, 54):
        chosen = replace(ON, rear=rear)
        finding = speedometer_finding(BIKE, chosen)
        assert finding is not None
        said_of_it = text(customer(BIKE, chosen, Asked(Speed(80.0, unit), Speed(60.0, unit))), "speedometer")
        assert ("so have it corrected" in said_of_it) == (finding.level != "fits")


@pytest.mark.parametrize(("factor", "told"), [(0.997, "about 119.6: less"), (1.1334, "about 136.01: more")])
def test_a_speedometer_beyond_the_rule_never_looks_right(factor: float, told: str) -> None:
    most = 1.1 + 4 / 120
    assert told in speedometer_sentence(1.0, factor, Speed(120.0), 1.0, most).text


@pytest.mark.parametrize("name", ["Brindle 650", "Wren 125"])
def test_now_stays_as_it_is_whatever_is_proposed(name: str) -> None:
    bike = demo_bike(name).bike
    on = fitted(bike)
    random = np.random.default_rng(20)
    fitted_once: dict[str, set[object]] = {}
    ranges = ((9, 22), (28, 66), (48, 70), (0, 2))
    for front, rear, pairs, other in zip(*(random.integers(*ends, 100).tolist() for ends in ranges), strict=True):
        chosen = DriveSet(front, rear, 2 * pairs, on.chain, "170/60-17" if other else None)
        content = customer(bike, chosen, Asked(Speed(90.0), Speed(60.0), 4))
        for picture in content.pictures:
            fitted_once.setdefault(picture.kind, set()).add((picture.before, picture.before_words))
        for one, _ in content.heads:
            assert ("now" in one.short) <= (one.change == 0), one
    assert {kind: len(said) for kind, said in fitted_once.items()} == {"pull": 1, "engine": 1, "top speed": 1}


def test_the_largest_change_comes_first_and_what_stays_has_no_picture() -> None:
    for front, rear in ((16, 43), (16, 46), (14, 46), (13, 52), (17, 52)):
        content = customer(BIKE, replace(ON, front=front, rear=rear), Asked(Speed(120.0), Speed(120.0)))
        changes = [one.change for one, _ in content.heads]
        assert changes == sorted(changes, reverse=True)
        assert len(changes) == 3
        for one, picture in content.heads:
            assert (picture is None) == (one.change == 0)
    told = customer(BIKE, replace(ON, front=16, rear=43), Asked(Speed(120.0), Speed(120.0)))
    assert [(one.short, one.beside) for one, _ in told.heads] == [
        ("15 % less pull", "at 120 km/h in top gear"),
        ("4800 rpm", "650 fewer at 120 km/h"),
        ("as fast as now", "at most about 210 km/h"),
    ]
    assert told.amiss == ("Speedometer reads low: about 111 at a true 120 km/h. Have it corrected.",)


def test_of_a_set_that_does_not_fit_that_is_said_first_and_nothing_to_buy() -> None:
    content = customer(BIKE, replace(ON, front=13, rear=52), Asked())
    assert content.sentences[0].text.startswith("This set does not fit. Front sprocket 13")
    assert content.about("parts") is None
    assert content.amiss == ()
    assert customer(BIKE, ON, Asked()).about("parts") is not None


def test_a_gear_that_now_holds_the_speed_is_told_where_top_gear_will() -> None:
    weak = with_value(BIKE, "engine", "torque", tuple((rpm, nm * 0.3) for rpm, nm in BIKE.engine.torque or ()))
    tall = with_value(with_value(weak, "final_drive", "front", 18), "final_drive", "rear", 40)
    told = {text(customer(tall, ON, Asked(Speed(float(kmh)))), "engine") for kmh in range(60, 160, 2)}
    assert any("; now that takes 5th gear." in words or "; now that takes 4th gear." in words for words in told)
