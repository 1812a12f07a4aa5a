"""How a level and a sentence that is not sure are told."""

from __future__ import annotations

from making.language import texts

from gearplan.plan.findings import LEVELS, Finding, level_words, probably


def test_a_level_is_told_in_words_that_the_catalogues_have() -> None:
    assert [level_words(level) for level in LEVELS] == ["fits", "check", "does not fit"]
    assert set(LEVELS) <= {text.english for text in texts(("plan/findings.py",))}


def test_a_sentence_that_is_not_sure_says_so_and_nothing_stays_nothing() -> None:
    assert probably("The run touches.") == "Probably the run touches."
    assert probably("112 links fit.") == "Probably 112 links fit."
    assert probably("") == ""


def test_fields_are_named_for_whoever_edits_the_file() -> None:
    found = Finding("check", "wrap", "Enter both.", field="chassis.slack_mm", also=("chassis.axle_now_mm",))
    assert found.for_file == "Enter both. In the file: [chassis] slack_mm, [chassis] axle_now_mm."
    assert Finding("fits", "wrap", "It does.").for_file == "It does."
