"""The search against brute force, its sentences against the numbers, and what it says when nothing fits."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.bike.stock import Stock, StockItem
from gearplan.commands.output.choicestext import choices_text, choices_values
from gearplan.commands.output.numbersjson import set_numbers
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.equivalents import equivalents, exchange_sentence, verdict_on
from gearplan.plan.choices.search import Choices, search, why_not
from gearplan.plan.choices.space import Space, SpaceError, default_space, parse_range, with_sizes
from gearplan.plan.choices.wishtext import parse_wishes
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.findings import Finding
from gearplan.plan.pull.pull import pull
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.words import Speed
from tests.bike.strategies import bikes
from tests.plan.choices import brutesearch

BIKE = demo_bike().bike

_TEXTS = (
    "at 120 km/h in top gear at most 5000 rpm",
    "at 60 mph in gear 3 at least 6000 rpm",
    "top gear reaches at least 230 km/h",
    "top speed at least 205 km/h",
    "pull at least +3 %",
    "pull at most −2 %",
    "keep the chain",
    "keep the front sprocket",
    "keep the rear sprocket",
    "front at least 15",
    "rear at most 46",
    "same ratio within 2 %",
    "wheelbase within 6 mm",
    "speedometer within the rule",
    "only sets that fit without a check",
    "calmer",
    "livelier",
    "smoother",
    "lighter",
)

#: Wishes that brute force is not held against, but that any bike must be able to answer.
_ALSO = (
    "faster",
    "cheaper",
    "start on 20 %",
    "keep the tyre",
    "keep the chain size",
    "ratio at most 3.1",
    "only parts in stock",
    "front 1 tooth down",
    "420 chain",
    "keep the links",
    "cost at most 150",
    "quickest on this circuit",
)


def answer(*texts: str, bike: Bike = BIKE, space: Space | None = None, **how: object) -> Choices:
    return search(bike, parse_wishes(texts)[0], space or default_space(bike), **how)  # type: ignore[arg-type]


_ANY_SEARCH = given(
    name=st.sampled_from(sorted(demo_bikes())),
    texts=st.lists(st.sampled_from(_TEXTS), max_size=3, unique=True),
    front=st.integers(14, 16),
    rear=st.integers(41, 47),
    links=st.integers(-1, 1),
    slack=st.integers(15, 45),
    room=st.integers(4, 25),
    first=st.integers(13, 16),
    start=st.integers(38, 48),
    tyre=st.sampled_from((None, "170/60-17", "3.25-18")),
)


def _is_what_brute_force_finds(
    name: str,
    texts: list[str],
    front: int,
    rear: int,
    links: int,
    slack: int,
    room: int,
    first: int,
    start: int,
    tyre: str | None,
) -> None:
    demo = demo_bike(name).bike
    count = (demo.final_drive.links or 0) + 2 * links
    bike = brutesearch.varied(demo, front, rear, count, float(slack), float(room))
    wishes = parse_wishes(tuple(texts))[0]
    tyres = (None,) if tyre is None else (None, tyre)
    space = Space((first, first + 1, first + 2), tuple(range(start, start + 5)), (bike.final_drive.chain,), tyres)
    found = search(bike, wishes, space, most=1000)
    left = brutesearch.survivors(bike, wishes, space, range(count - 16, count + 18))
    assert found.met == len(left)
    by_hand = brutesearch.ranked(bike, wishes, left)
    assert [choice.set for choice in found.ranked] == [chosen for _, chosen in by_hand]
    assert [choice.rating for choice in found.ranked] == pytest.approx([rating for rating, _ in by_hand])


@_ANY_SEARCH
@settings(max_examples=10)
def test_the_search_is_what_brute_force_finds(**case: Any) -> None:
    _is_what_brute_force_finds(**case)


@pytest.mark.long
@_ANY_SEARCH
@settings(max_examples=100)
def test_the_search_is_what_brute_force_finds_at_length(**case: Any) -> None:
    _is_what_brute_force_finds(**case)


@pytest.mark.parametrize("name", demo_bikes())
def test_every_candidate_has_the_figures_of_its_set(name: str) -> None:
    bike = demo_bike(name).bike
    other = "525" if bike.final_drive.chain == "520" else "520"
    space = default_space(bike, fronts=(13, 17), rears=(40, 48), chains=(other,), tyres=("170/60-17",))
    found = candidates(bike, space)
    assert {found.set_at(k).chain for k in range(found.count)} == {bike.final_drive.chain, other}
    assert {found.set_at(k).tyre for k in range(found.count)} == {None, "170/60-17"}
    for k in range(found.count):
        result = evaluate(bike, found.set_at(k))
        assert found.level_at(k) == result.verdict, found.set_at(k)
        assert found.axle[k] == pytest.approx(result.run.axle_position, abs=1e-12)
        assert found.moved[k] == pytest.approx(result.run.moved, abs=1e-12)
        assert found.safety[k] == pytest.approx(result.strength.safety, rel=1e-12)
        assert found.overall is not None
        assert tuple(found.overall[k]) == result.overall_ratio
        assert found.circumference[k] == result.rolling_circumference
        if k % 9 == 0:
            pulled = pull(bike, found.set_at(k))
            assert not isinstance(pulled, Finding)
            assert found.bound[k] == pytest.approx(pulled.machine.bound, rel=1e-12)


@given(bikes(), st.lists(st.sampled_from((*_TEXTS, *_ALSO)), max_size=4, unique=True))
@settings(max_examples=60)
def test_any_bike_gets_an_answer(bike: Bike, texts: list[str]) -> None:
    """Unfinished and contradictory bikes: no crash, and what cannot be judged is said."""
    space = default_space(bike, fronts=(12, 15), rears=(40, 44), tyres=("180/55-17",))
    wishes = parse_wishes(tuple(texts))[0]
    found = search(bike, wishes, space)
    assert choices_text(bike, found)
    assert choices_values(found)["met"] == found.met
    for choice in found.ranked:
        assert evaluate(bike, choice.set).verdict == choice.level != "does not fit"
        assert choice.line
    known = candidates(bike, space)
    for k in range(0, known.count, 7):
        assert known.level_at(k) == evaluate(bike, known.set_at(k)).verdict
    for left in found.unjudged:
        assert left.text
    assert why_not(bike, wishes, space, 13, 42) is not None


def test_calmer_without_a_new_chain_is_one_front_tooth() -> None:
    """What a shop would advise: one front tooth more, −6.25 % by hand (15/16 − 1)."""
    found = answer("calmer", "keep the chain")
    first = found.ranked[0]
    assert (first.set.front, first.set.rear, first.set.links) == (16, 46, 112)
    assert first.revs == pytest.approx(15 / 16 - 1)
    assert first.new_parts == ("front sprocket",)
    assert "turns 6.3 % slower" in first.line or "turns 6.2 % slower" in first.line


def test_what_dropped_out_says_why_with_the_right_figures() -> None:
    space = default_space(BIKE, rears=(36, 56))
    found = answer("livelier", "keep the chain", space=space)
    [lost] = [d for d in found.dropped if d.wish is not None and d.wish.kind == "keep"]
    assert f"needs {lost.set.links} links, you asked to keep 112" in lost.text
    assert lost.set.links in (evaluate(BIKE, lost.set).run.links_that_fit or ())
    assert 112 not in (evaluate(BIKE, lost.set).run.links_that_fit or ())
    pairs = {(c.set.front, c.set.rear) for c in found.ranked}
    assert not pairs & {(d.set.front, d.set.rear) for d in found.dropped}


_FIGURES = {
    "at 120 km/h in top gear at most 4000 rpm": (
        r"turns (\d+) rpm", lambda n: f"{n['rpm_at_100_kmh'][-1] * 1.2:.0f}"),
    "gear 3 reaches at least 300 km/h": (r"reaches (\d+) km/h", lambda n: f"{n['speed_at_redline_kmh'][2]:.0f}"),
    "top speed at least 300 km/h": (r"about (\d+) km/h", lambda n: f"{n['top_speed_kmh']:.0f}"),
    "speedometer within the rule": (
        r"show ([\d.]+) km/h", lambda n: f"{1.2 * n['speedometer_indicated_at_100_kmh']:.1f}"),
    "ratio at most 1.5": (r"ratio of ([\d.]+)", lambda n: f"{n['final_ratio']:.4f}"),
    "keep the chain": (r"needs (\d+) links", lambda n: str(n["links"])),
    "front at least 30": (r"has (\d+) teeth", lambda n: str(n["front"])),
}  # fmt: skip


@pytest.mark.parametrize("text", _FIGURES)
def test_the_figures_of_the_reasons_are_those_of_numbers(text: str) -> None:
    pattern, expected = _FIGURES[text]
    checked = 0
    for front, rear in ((13, 46), (14, 50), (17, 52), (18, 55)):
        space = default_space(BIKE, fronts=(front, front), rears=(rear, rear))
        for reason in why_not(BIKE, parse_wishes((text,))[0], space, front, rear):
            if match := re.search(pattern, reason):
                found = candidates(BIKE, space)
                values = [set_numbers(BIKE, evaluate(BIKE, found.set_at(k))) for k in range(found.count)]
                assert match[1] in {expected(n) for n in values}
                checked += 1
    assert checked


def test_the_line_s_figures_are_those_of_numbers() -> None:
    found = answer("at 120 km/h in top gear at most 4600 rpm", "faster")
    now = set_numbers(BIKE, evaluate(BIKE, fitted(BIKE)))
    assert found.ranked
    for choice in found.ranked:
        values = set_numbers(BIKE, evaluate(BIKE, choice.set))
        assert f"{values['rpm_at_100_kmh'][-1] * 1.2:.0f} rpm at 120 km/h" in choice.line
        assert f"top speed about {values['top_speed_kmh']:.0f} km/h" in choice.line
        change = values["rpm_at_100_kmh"][-1] / now["rpm_at_100_kmh"][-1] - 1
        assert f"{abs(change) * 100:.1f} %" in choice.line
        by = values["wheelbase_mm"] - now["wheelbase_mm"]
        assert (f"wheelbase {abs(by):.0f} mm {'longer' if by > 0 else 'shorter'}" in choice.line) == (abs(by) >= 1)


def test_when_nothing_satisfies_the_costly_wish_is_named_and_the_nearest_set() -> None:
    found = answer("at 120 km/h in top gear at most 4500 rpm", "pull at least 0 %", "front at least 13")
    assert found.ranked == ()
    assert found.met == 0
    assert re.search(
        r"“(pull at least \+0 %|at 120 km/h.*)” costs the most: without it \d+ sets would do", found.costly
    )
    assert found.nearest is not None
    assert found.misses
    assert evaluate(BIKE, found.nearest.set).verdict != "does not fit"


def test_what_cannot_be_had_at_all_is_said_so() -> None:
    assert (
        "No set in these ranges meets “front at least 40”"
        in answer("front at least 40", "smoother", "ratio at most 0.3").costly
    )
    both = answer("front at least 16", "front at most 14")
    assert "contradict each other" in both.notes[0]
    narrow = answer("calmer", space=default_space(BIKE, fronts=(15, 15), rears=(46, 46), links=(90, 92)))
    assert "can be fitted" in narrow.costly


def test_wishes_that_lack_data_are_said_and_the_others_count() -> None:
    bike = with_value(with_value(BIKE, "engine", "torque", None), "speedometer", "sensor", None)
    found = answer("faster", "speedometer within the rule", "calmer", "cheaper", "quickest on this circuit", bike=bike)
    assert {left.wish.kind for left in found.unjudged} == {"faster", "speedometer", "cheaper", "quickest"}
    assert {left.field for left in found.unjudged} >= {"engine.torque", "speedometer.sensor"}
    assert found.ranked[0].revs is not None
    assert found.ranked[0].revs < 0
    wrong = answer("gear 7 reaches at least 100 km/h")
    assert "6 gears" in wrong.unjudged[0].text


def test_without_a_swingarm_sets_are_ranked_and_the_fit_is_said_to_be_unknown() -> None:
    bike = with_value(BIKE, "chassis", "axle_range_mm", None)
    found = answer("calmer", bike=bike)
    assert found.ranked
    assert any("not known yet" in note for note in found.notes)
    assert all(choice.level == "check" for choice in found.ranked)


def test_quickest_takes_lap_times_from_outside() -> None:
    space = default_space(BIKE)
    found = candidates(BIKE, space)
    laps = 60 + np.abs(found.ratio - 3.2)
    best = search(BIKE, parse_wishes(("quickest on this circuit",))[0], space, lap_times=laps, most=100)
    quickest = min(best.ranked, key=lambda choice: choice.lap_s or np.inf)
    assert quickest.lap_s is not None
    goes = [k for k in range(found.count) if found.level_at(k) != "does not fit"]
    assert quickest.lap_s <= laps[goes].min() + 0.01 * 3.2
    assert "the quickest here" in quickest.line


def _stock() -> Stock:
    return Stock(
        (
            StockItem("520", "front", 14, 2, 20.0),
            StockItem("520", "rear", 44, 1, 40.0),
            StockItem("520", "rear", 43, 0, 38.0),
            StockItem("520", "chain", 116, 1, 90.0),
        )
    )


def test_too_little_of_what_was_asked_for_is_told_as_only_that() -> None:
    wishes = parse_wishes(("calmer by at least 5 %",))[0]
    [reason] = why_not(BIKE, wishes, default_space(BIKE), 15, 45)
    assert "is only 2.2 % calmer, you asked for" in reason
    [reason] = why_not(BIKE, wishes, default_space(BIKE), 15, 47)
    assert "is 2.2 % livelier, you asked for" in reason


def test_only_what_is_on_the_shelf() -> None:
    found = answer("only sizes on the shelf", "livelier by at most 60 %", stock=_stock(), most=100)
    pairs = {(c.set.front, c.set.rear, c.set.links) for c in found.ranked} | {
        (s.front, s.rear, s.links) for c in found.ranked for s in c.alike
    }
    assert pairs <= {(f, r, n) for f in (14, 15) for r in (44, 46) for n in (108, 110, 112, 114, 116)}
    assert (14, 46, 112) in pairs
    reasons = why_not(BIKE, parse_wishes(("only sizes on the shelf",))[0], default_space(BIKE), 15, 43, stock=_stock())
    assert reasons == ("15/43: no 520 rear sprocket of 43 in stock.",)


def test_prices_are_those_of_the_new_parts() -> None:
    priced: dict[tuple[int | None, int | None], float | None] = {}
    for aim in ("calmer", "livelier", "fewest new parts"):
        found = answer("cost at most 45", aim, stock=_stock(), most=100)
        priced |= {(c.set.front, c.set.rear): c.price for c in found.ranked}
    assert priced == {(15, 46): 0, (14, 46): 20, (15, 44): 40, (15, 43): 38}
    [reason] = why_not(BIKE, parse_wishes(("cost at most 45",))[0], default_space(BIKE), 14, 44, stock=_stock())
    assert "costs 60.00" in reason


def test_equivalents_by_hand() -> None:
    """Of 15/46 (3.0667) within 1 %: 14/43 (3.0714), 16/49 (3.0625), 17/52 (3.0588), 18/55 (3.0556), by calculator."""
    space = default_space(BIKE)
    found = equivalents(BIKE, fitted(BIKE), space, 0.01)
    pairs = [(e.set.front, e.set.rear) for e in found]
    assert pairs == [(18, 55), (17, 52), (16, 49), (15, 46), (14, 43)]
    assert [e.off for e in found] == pytest.approx([-0.003623, -0.002558, -0.001359, 0, 0.001553], abs=1e-6)
    dips = [e.chordal_dip for e in found]
    assert dips == sorted(dips)
    for one in found:
        run = evaluate(BIKE, one.set).run
        assert one.meets_again == run.rear_turns_to_meet_again
        assert one.clearance == pytest.approx(min(run.upper_clearance or 0, run.lower_clearance or 0))
        checks = [f for f in evaluate(BIKE, one.set).findings if f.level == "check" and not f.lacks_entries]
        # Never a state alone that does not say how much there is to be checked.
        said = {0: "Fits", 1: "1 caution"}.get(len(checks), f"{len(checks)} cautions")
        assert verdict_on(BIKE, one).endswith(said)
    assert equivalents(BIKE, DriveSet(None, None, None, None), space) == ()


def test_the_rule_of_thumb_is_corrected() -> None:
    told = exchange_sentence(fitted(BIKE))
    assert "worth 3.3 rear teeth more" in told
    assert "worth 2.9 fewer" in told
    assert exchange_sentence(DriveSet(None, 40, None, None)) == ""


@pytest.mark.parametrize(
    ("text", "tells"), [("18-13", "write 13-18"), ("a-b", "write it like 13-18"), ("13.5-18", "whole"), ("", "13-18")]
)
def test_ranges_that_cannot_be(text: str, tells: str) -> None:
    with pytest.raises(SpaceError, match=tells):
        parse_range(text)


def test_ranges_that_can_be() -> None:
    assert parse_range("13-18") == parse_range(" 13 – 18 ") == parse_range("13 to 18") == (13, 18)
    assert parse_range("14") == (14, 14)


@pytest.mark.parametrize(
    ("given", "tells"),
    [
        ({"fronts": (5, 12)}, "9–60"),
        ({"chains": ("5200",)}, "5200"),
        ({"tyres": ("fat",)}, "not a tyre size"),
        (
            {"fronts": (9, 60), "rears": (9, 150), "chains": ("420", "428", "525", "530", "532", "415", "25H")},
            "narrow",
        ),
    ],
)
def test_spaces_that_cannot_be_searched(given: dict[str, tuple[int, int]], tells: str) -> None:
    with pytest.raises(SpaceError, match=tells):
        default_space(BIKE, **given)  # type: ignore[arg-type]


def test_the_own_tyre_named_again_is_one_tyre() -> None:
    assert default_space(BIKE, tyres=("180/55-17",)).tyres == (None,)


def test_a_bike_with_other_fitted_parts_keeps_them() -> None:
    bike = replace(BIKE, final_drive=replace(BIKE.final_drive, front=14, rear=44, links=112))
    found = answer("keep the chain", "keep the rear sprocket", bike=bike, most=50)
    assert {c.set.rear for c in found.ranked} == {44}
    assert {c.set.links for c in found.ranked} == {112}


@pytest.mark.parametrize(
    ("part", "field"),
    [
        ("front sprocket", "final_drive.front"),
        ("rear sprocket", "final_drive.rear"),
        ("chain", "final_drive.links"),
        ("chain size", "final_drive.chain"),
        ("tyre", "tyre.size"),
    ],
)
def test_a_part_to_keep_that_is_not_entered_is_asked_for(part: str, field: str) -> None:
    section, _, key = field.partition(".")
    bare = with_value(with_value(BIKE, section, key, None), "tyre", "rolling_circumference_mm", None)
    left = answer(f"keep the {part}", bike=bare).unjudged
    assert [one.field for one in left] == [field]
    assert f"which {part} is fitted has not been entered" in left[0].text


def test_a_tyre_known_by_its_circumference_alone_can_be_kept() -> None:
    bare = with_value(BIKE, "tyre", "size", None)
    found = answer("keep the tyre", "front at least 18", bike=bare, space=default_space(bare, tyres=("190/50-17",)))
    assert not found.unjudged
    assert all(choice.set.tyre is None for choice in found.ranked)
    assert "asked to keep None" not in choices_text(bare, found)


def test_one_tooth_down_is_that_of_the_fitted_set() -> None:
    found = answer("one down on the front")
    assert found.ranked
    assert {choice.set.front for choice in found.ranked} == {14}
    assert "15 teeth at the front, you asked for 14" in " ".join(
        why_not(BIKE, found.wishes, default_space(BIKE), 15, 47)
    )


def test_a_conversion_searches_the_size_that_is_asked_for() -> None:
    wishes, _ = parse_wishes(("428 chain",))
    found = search(BIKE, wishes, with_sizes(default_space(BIKE), wishes))
    assert found.ranked
    assert {choice.set.chain for choice in found.ranked} == {"428"}


def test_the_same_links_may_be_another_chain() -> None:
    found = answer("keep the links", "livelier")
    assert {choice.set.links for choice in found.ranked} == {112}


def test_the_cruising_speed_is_answered() -> None:
    told = search(BIKE, parse_wishes(("calmer",))[0], default_space(BIKE), cruise=Speed(120.0))
    values = [set_numbers(BIKE, evaluate(BIKE, choice.set)) for choice in told.ranked]
    for choice, each in zip(told.ranked, values, strict=True):
        assert f"{each['rpm_at_100_kmh'][-1] * 1.2:.0f} rpm at 120 km/h in top gear" in choice.line
