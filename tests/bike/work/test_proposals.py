"""Proposals in the bike file: nothing is lost on the way there and back, nor of what a person wrote around them."""

from __future__ import annotations

import tomllib
from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.entries import entries_in
from gearplan.bike.files.bikefile import BikeFileError, bike_from_text, text_with
from gearplan.bike.library import chain_sizes
from gearplan.bike.profile import Bike
from gearplan.bike.work.job import JobPart
from gearplan.bike.work.proposal import STATES, Proposal, after_fitting

WORDS = st.text(st.characters(blacklist_categories=("Cs", "Cc"), blacklist_characters="\x7f"), max_size=20)


def _values(what: object) -> st.SearchStrategy[object]:
    kind = what.kind  # type: ignore[attr-defined]
    if kind == "text":
        return WORDS
    if kind == "choice":
        return st.sampled_from(what.choices)  # type: ignore[attr-defined]
    if kind == "chain":
        return st.sampled_from(sorted(chain_sizes()))
    if kind == "tyre":
        return st.just("180/55 ZR 17")
    low, high = what.low, what.high  # type: ignore[attr-defined]
    return st.integers(int(low), int(high)) if kind == "whole" else st.floats(low, high)


def _of(kind: type, **fixed: st.SearchStrategy[object]) -> st.SearchStrategy[object]:
    made = {key: st.none() | _values(what) for key, what in entries_in(kind)}
    return st.builds(kind, **made | fixed)


DAYS = st.none() | st.dates().map(lambda day: day.isoformat())
PROPOSALS = st.lists(
    _of(
        Proposal,
        date=DAYS,
        quoted=DAYS,
        valid_until=DAYS,
        wishes=st.lists(WORDS, max_size=3).map(tuple),
        parts=st.lists(_of(JobPart), max_size=3).map(tuple),
    ),
    max_size=4,
).map(tuple)


@settings(max_examples=60)
@given(PROPOSALS, PROPOSALS)
def test_what_is_kept_is_read_again_and_replaced_by_what_is_kept_next(
    first: tuple[Proposal, ...], then: tuple[Proposal, ...]
) -> None:
    text = text_with(Bike(name="Wren", proposals=first), "")
    assert bike_from_text(text, "").bike.proposals == first
    again = text_with(Bike(name="Wren", proposals=then), text)
    assert bike_from_text(again, "").bike.proposals == then
    assert bike_from_text(again, "").notices == ()
    # Every field stands in the file under its own name.
    for one, table in zip(then, tomllib.loads(again).get("proposals", ()), strict=True):
        known = {f.name for f in fields(Proposal)} - {"parts"} | {"part"}
        assert set(table) <= known
        assert (one.price is None) == ("price" not in table)


def test_what_a_person_wrote_around_a_proposal_stays() -> None:
    text = (
        'format = 1\nname = "Wren"\n\n# rings back on Monday\n[[proposals]]\nname = "Touring" # blue sprocket\n'
        'front = 16\nrear = 45\nphone = "later"\n[[proposals.part]]\npart = "front"\nprice = 31.9\n'
    )
    read = bike_from_text(text, "x")
    assert read.notices == ("x: [[proposals]] 1: “phone” is not known and is left as it is",)
    (one,) = read.bike.proposals
    assert (one.name, one.front, one.parts) == ("Touring", 16, (JobPart("front", price=31.9),))
    saved = text_with(replace(read.bike, proposals=(replace(one, state="agreed"),)), text)
    for kept in ("# rings back on Monday", "# blue sprocket", 'phone = "later"', 'state = "agreed"'):
        assert kept in saved
    assert bike_from_text(saved, "").bike.proposals[0].parts == one.parts
    without = text_with(replace(read.bike, proposals=()), text)
    assert without.strip() == 'format = 1\nname = "Wren"\n\n# rings back on Monday'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("proposals = 3", "[proposals] must be headed [[proposals]]"),
        ('[[proposals]]\nfront = "16"', "[[proposals]] 1, front: "),
        ("[[proposals]]\nprice = 1e10", "[[proposals]] 1, price: "),
        ("[[proposals]]\ntax_percent = 300", "[[proposals]] 1, tax_percent: "),
        ('[[proposals]]\ndate = "31.5.26"', "is no date"),
        ('[[proposals]]\nwishes = "calmer"', "must be a list"),
        ("[[proposals]]\nwishes = [3]", "must be a text"),
        ("[[proposals]]\npart = 3", "headed [[proposals.part]]"),
        ("[[proposals]]\n[[proposals.part]]\nprice = 1e9", "[[proposals]] 1, part 1: price: "),
        ('[[proposals]]\nstate = "agred"', "did you mean “agreed”"),
    ],
)
def test_what_is_wrong_is_said_with_its_place(text: str, said: str) -> None:
    with pytest.raises(BikeFileError) as refused:
        bike_from_text(f"format = 1\n{text}\n", "x")
    assert said in str(refused.value)


def test_what_is_fitted_is_the_proposal_that_was_agreed() -> None:
    one = Proposal(chain="520", front=16, rear=45, links=110, state="offered")
    on = ("520", 16, 45, 110)
    states = [p.state for p in after_fitting((one, replace(one, state="agreed"), one), on)]
    assert states == ["offered", "fitted", "offered"]
    assert [p.state for p in after_fitting((one, one), on)] == ["offered", "fitted"]
    other = (replace(one, rear=44), replace(one, state="declined"))
    assert after_fitting(other, on) == other
    assert set(states) < set(STATES)


def test_a_demo_bike_has_none_and_its_file_is_not_touched() -> None:
    opened = demo_bike()
    assert opened.bike.proposals == ()
    assert text_with(opened.bike, opened.text) == opened.text
