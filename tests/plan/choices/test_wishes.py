"""Wishes in words, there and back, and what is said of words that are none."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.plan.choices.wishes import KINDS, PARTS, TOP_GEAR, Wish, contradictions
from gearplan.plan.choices.wishtext import WishError, examples, parse_wish, parse_wishes, wishes_in
from gearplan.plan.words import Speed


@pytest.mark.parametrize("kind", KINDS)
def test_every_example_is_a_wish_and_reads_back(kind: str) -> None:
    wish = parse_wish(KINDS[kind].example)
    assert wish.kind == kind
    assert wish.words == KINDS[kind].example
    assert wish.aim == KINDS[kind].aim


def _wishes() -> st.SearchStrategy[Wish]:
    bound = st.sampled_from(("at most", "at least"))
    number = st.integers(200, 9000).map(float) | st.floats(1, 299, allow_nan=False)
    small = st.integers(0, 75).map(float) | st.floats(0, 49, allow_nan=False)
    speed = st.builds(Speed, st.floats(1, 600, allow_nan=False), st.sampled_from(("km/h", "mph")))
    gear = st.integers(TOP_GEAR, 8)
    return st.one_of(
        st.builds(Wish, st.just("engine speed"), bound, number.filter(lambda n: n >= 200), speed, gear),
        st.builds(Wish, st.just("reach"), bound, st.none(), speed, gear),
        st.builds(Wish, st.just("top speed"), bound, st.none(), speed),
        st.builds(Wish, st.just("pull"), bound, st.floats(-75, 299, allow_nan=False)),
        st.builds(Wish, st.just("pull"), bound, st.floats(-75, 299, allow_nan=False), speed, gear),
        st.builds(Wish, st.just("keep"), part=st.sampled_from(PARTS)),
        st.builds(
            Wish,
            st.just("teeth"),
            bound,
            st.integers(9, 60).map(float),
            part=st.sampled_from(("front sprocket", "rear sprocket")),
        ),
        st.builds(Wish, st.just("ratio"), bound, st.floats(0.3, 19, allow_nan=False)),
        st.builds(Wish, st.sampled_from(("same ratio", "wheelbase", "cost")), value=small.filter(lambda n: n <= 50)),
        st.builds(Wish, st.just("start"), value=small, load_kg=st.none() | st.floats(0, 999, allow_nan=False)),
        st.builds(Wish, st.sampled_from(("calmer", "livelier")), bound, small),
        st.builds(
            Wish,
            st.just("tooth"),
            value=st.integers(1, 20).map(float) | st.integers(-20, -1).map(float),
            part=st.sampled_from(("front sprocket", "rear sprocket")),
        ),
        st.builds(Wish, st.just("size"), size=st.sampled_from(("415", "520", "25H", "632"))),
        st.builds(Wish, st.sampled_from(("faster", "lighter", "smoother", "cheaper", "fewest", "quickest", "sure"))),
    )


@given(_wishes())
def test_any_wish_reads_back(wish: Wish) -> None:
    assert parse_wish(wish.words) == wish


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("At 120 kmh at most 5200rpm.", "at 120 km/h in top gear at most 5200 rpm"),
        ("no more than 5200 rpm at 75 mph in 6th gear", "at 75 mph in gear 6 at most 5200 rpm"),
        ("at least 8 % more pull", "pull at least +8 %"),
        ("at least 5 % less pull", "pull at most −5 %"),
        ("front no smaller than 14", "front at least 14"),
        ("rear sprocket no more than 48 teeth", "rear at most 48"),
        ("I want it calmer", "calmer"),
        ("more pull", "livelier"),
        ("without a new chain", "keep the chain"),
        ("start on 18,5 percent", "start on 18.5 %"),
        ("third gear reaches at most 120 km/h", "gear 3 reaches at most 120 km/h"),
        ("Calmer by no more than 8%", "calmer by at most 8 %"),
        ("at 120 at most 4500 rpm", "at 120 km/h in top gear at most 4500 rpm"),
        ("at most 4500 rpm at 120 in 5th", "at 120 km/h in gear 5 at most 4500 rpm"),
        ("quickest", "quickest on this circuit"),
        ("the quickest on the track", "quickest on this circuit"),
        ("shorter gearing for track days", "livelier"),
        ("lower gearing", "livelier"),
        ("gear it down", "livelier"),
        ("gear down", "livelier"),
        ("taller gearing for touring", "calmer"),
        ("longer gearing", "calmer"),
        ("gear up", "calmer"),
        ("one down on the front", "front 1 tooth down"),
        ("one tooth down at the front", "front 1 tooth down"),
        ("two up on the rear", "rear 2 teeth up"),
        ("go down one at the front", "front 1 tooth down"),
        ("+2 rear", "rear 2 teeth up"),
        ("-1 front", "front 1 tooth down"),
        ("front −1", "front 1 tooth down"),
        ("front 1 smaller", "front 1 tooth down"),
        ("520 conversion", "520 chain"),
        ("convert to 520", "520 chain"),
        ("a 520 chain", "520 chain"),
        ("same links", "keep the links"),
        ("with the same number of links", "keep the links"),
        ("only sizes on the shelf", "only parts in stock"),
    ],
)
def test_other_ways_to_say_it(said: str, words: str) -> None:
    assert parse_wish(said).words == words


@pytest.mark.parametrize(
    ("said", "tells"),
    [
        ("", "say what you want"),
        ("calmish", "nearest is “calmer”"),
        ("front over 14", "nearest is “front at least 14”"),
        ("wheel base within 5", "nearest is “wheelbase within 5 mm”"),
        ("at 120 km/h in top gear at most 5,200 rpm", "leave out the thousands separator"),
        ("at 120 km/h in top gear at most 5.200,5 rpm", "two ways"),
        ("at 120 furlongs in top gear at most 5200 rpm", "write km/h or mph"),
        ("gear 9 reaches at least 200 km/h", "gear 1 to 8"),
        ("front at least 14.5", "whole numbers"),
        ("chain at least 14", "front and the rear have teeth"),
        ("start on 400 %", "0 to 100 %"),
        ("x" * 500, "500 characters"),
        ("cost at least 5", "cost at most 150"),
        ("not calmer", "nearest is “calmer”"),
        ("not shorter gearing", "not understood"),
        ("no 520 conversion", "not understood"),
        ("not one down on the front", "not understood"),
        ("999 chain", "no chain size here"),
        ("thirty down on the front", "not understood"),
        ("front 40 teeth down", "−20 to 20"),
    ],
)
def test_what_is_no_wish_is_told_with_what_would_be_right(said: str, tells: str) -> None:
    with pytest.raises(WishError) as refused:
        parse_wish(said)
    assert tells in str(refused.value)
    assert "\n" not in str(refused.value)


@given(st.text(max_size=60))
def test_any_text_is_a_wish_or_refused(text: str) -> None:
    try:
        wish = parse_wish(text)
    except WishError as refused:
        assert str(refused)
    else:
        assert parse_wish(wish.words) == wish


def test_good_wishes_survive_bad_ones() -> None:
    wishes, wrong = parse_wishes(("calmer", "nonsense", "keep the chain", "Calmer"))
    assert [wish.words for wish in wishes] == ["calmer", "keep the chain"]
    assert len(wrong) == 1


@pytest.mark.parametrize(
    ("texts", "contradict"),
    [
        (("front at least 16", "front at most 14"), True),
        (("front at least 14", "front at most 16"), False),
        (("front at least 16", "rear at most 14"), False),
        (("calmer", "livelier"), True),
        (("top speed at least 130 mph", "top speed at most 200 km/h"), True),
        (("top speed at least 120 mph", "top speed at most 200 km/h"), False),
        (("at 120 km/h in top gear at least 5000 rpm", "at 120 km/h in top gear at most 4900 rpm"), True),
        (("at 120 km/h in gear 5 at least 5000 rpm", "at 120 km/h in top gear at most 4900 rpm"), False),
    ],
)
def test_contradictions(texts: tuple[str, ...], contradict: bool) -> None:
    told = contradictions(parse_wishes(texts)[0])
    assert bool(told) is contradict
    for sentence in told:
        assert all(wish.words in sentence for wish in parse_wishes(texts)[0])


def test_examples_are_all_different_kinds() -> None:
    assert {parse_wish(text).kind for text in examples()} == set(KINDS)


@pytest.mark.parametrize(
    ("sentence", "words", "cruise"),
    [
        ("I do 120 on the motorway and want it calmer, without a new chain", ["calmer", "keep the chain"], "120 km/h"),
        ("ride at 70 mph; start on 18,5 % with 160 kg on board", ["start on 18.5 % with 160 kg on board"], "70 mph"),
        ("keep the chain and its links", ["keep the chain"], None),
        ("more pull but cheaper", ["livelier", "cheaper"], None),
        ("I do 120 on the motorway and want it calmer without a new chain", ["calmer", "keep the chain"], "120 km/h"),
        ("calmer, without a new chain", ["calmer", "keep the chain"], None),
        ("shorter gearing for track days, 520 chain", ["livelier", "520 chain"], None),
        ("one down on the front with the same links", ["front 1 tooth down", "keep the links"], None),
        ("", [], None),
    ],
)
def test_a_sentence_holds_several_wishes(sentence: str, words: list[str], cruise: str | None) -> None:
    wishes, speed, wrong = wishes_in(sentence)
    assert [wish.words for wish in wishes] == words
    assert (None if speed is None else speed.words) == cruise
    assert wrong == ()


def test_a_bare_speed_is_in_the_unit_of_whoever_says_it() -> None:
    wishes, speed, wrong = wishes_in("I do 75 and want at 75 at most 4500 rpm", "mph")
    assert (speed, wrong) == (Speed(75.0, "mph"), ())
    assert [wish.words for wish in wishes] == ["at 75 mph in top gear at most 4500 rpm"]


@pytest.mark.parametrize("no", ["not", "no", "never", "by no means"])
@given(_wishes())
def test_a_wish_denied_is_never_taken_for_the_wish(no: str, wish: Wish) -> None:
    wishes, _, wrong = wishes_in(f"{no} {wish.words}")
    assert wish not in wishes
    assert wishes == () or wish.kind == "keep"
    assert wrong


@given(st.text(max_size=80))
def test_any_sentence_is_read_or_told(sentence: str) -> None:
    wishes, _, wrong = wishes_in(sentence)
    assert all(parse_wish(wish.words) == wish for wish in wishes)
    assert all("\n" not in text for text in wrong)
