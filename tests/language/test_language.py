"""Which language is spoken, and how a text is told in it; plural forms as CLDR has them for German and English."""

from __future__ import annotations

import ast
from collections.abc import Iterator

import pytest
from making.language import Text, _empty, _in
from making.language import written as written_catalogue

from gearplan import language
from gearplan.__main__ import _speak_as_chosen
from gearplan.bike.files.ownfolders import settings_file
from gearplan.bike.text import written
from gearplan.language import PSEUDO, asked_for, decimal, speak, tr, trc, trn


@pytest.fixture(autouse=True)
def _english_afterwards() -> Iterator[None]:
    yield
    speak("en")


@pytest.mark.parametrize(
    ("environment", "language"),
    [
        ({}, "en"),
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LANG": "de"}, "de"),
        ({"LANG": "C.UTF-8"}, "en"),
        ({"LANG": "fr_FR.UTF-8"}, "en"),
        # The order of GNU gettext; LANGUAGE may list several.
        ({"LANGUAGE": "fr:de:en", "LANG": "en_GB.UTF-8"}, "de"),
        ({"LC_ALL": "en_GB.UTF-8", "LANG": "de_DE.UTF-8"}, "en"),
        ({"LC_MESSAGES": "de_AT@euro", "LANG": "en_GB.UTF-8"}, "de"),
        ({"LANGUAGE": "", "LANG": "de_CH.UTF-8"}, "de"),
        ({"LANGUAGE": "qps"}, "qps"),
    ],
)
def test_the_environment_asks_for_a_language(environment: dict[str, str], language: str) -> None:
    assert asked_for(environment) == language


def test_an_unknown_language_is_english() -> None:
    speak("xx")
    assert language.spoken() == "en"
    assert tr("links") == "links"


def test_values_fill_a_text_and_braces_alone_stay() -> None:
    assert tr("{links} links of {size}", links=112, size="520") == "112 links of 520"
    assert tr("{links}") == "{links}"
    assert trn("{n} link", "{n} links", 1) == "1 link"
    assert trn("{n} link of {size}", "{n} links of {size}", 2, size="520") == "2 links of 520"
    assert trc("of a gearbox", "gear {n}", n=3) == "gear 3"


def test_the_pseudo_language_marks_each_text_and_leaves_its_values() -> None:
    speak(PSEUDO)
    assert tr("fits") == "⟦fiits⟧"
    assert tr("{links:.1f} links", links=12.5) == "⟦12.5 liinks⟧"
    assert trn("{n} link", "{n} links", 2) == "⟦2 liinks⟧"


def test_numbers_are_written_with_the_mark_of_the_language(monkeypatch: pytest.MonkeyPatch) -> None:
    # CLDR: German parts the whole from its fraction with a comma.
    monkeypatch.setattr(language._Spoken, "mark", ",")
    assert decimal("12.5") == "12,5"
    assert tr("{mm:.1f} mm of {size}, {count} times", mm=12.5, size="v1.0", count=3) == "12,5 mm of v1.0, 3 times"
    assert written.number(3.07, 1, 2) == "3,07"
    assert written.signed(-0.5, 1, 1) == "−0,5"
    assert written.compared(1.25, 1.5, 0.0, 1, 2) == ("1,25", "1,50", "", "+0,25")
    assert written.lap_time(76.48) == "1:16,48"
    assert written.shortest(12.5) == "12,5"


def test_texts_are_found_with_their_plurals_and_contexts() -> None:
    source = """[tr("one"), trn("{n} link", "{n} links", n),
        trc("of a gear", "set"), counted(n, "tooth", "teeth"), tr(x)]"""
    assert list(_in(ast.parse(source), "here")) == [
        Text("one", None, None, ["here"]),
        Text("{n} link", "{n} links", None, ["here"]),
        Text("set", None, "of a gear", ["here"]),
        Text("tooth", "teeth", None, ["here"]),
    ]
    with pytest.raises(ValueError, match="already filled in"):
        list(_in(ast.parse('tr(f"{links} links")'), "here"))
    # A catalogue would have it without its context, and it would never be found.
    with pytest.raises(ValueError, match="context"):
        list(_in(ast.parse('trc(OF_A_GEAR, "set")'), "here"))


@pytest.mark.parametrize(
    ("settings", "spoken"),
    [('language = "de"', ["de"]), ('language = ""', []), ('language = "xx"', []), ("language = 5", []), ("= [", [])],
)
def test_the_window_speaks_as_was_chosen_and_else_as_the_system(
    settings: str, spoken: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []
    monkeypatch.setattr("gearplan.__main__.speak", asked.append)
    _speak_as_chosen()
    settings_file().parent.mkdir(parents=True)
    settings_file().write_text(settings)
    _speak_as_chosen()
    assert asked == spoken


def test_a_share_in_a_text_is_not_taken_for_a_format_with_percent_signs() -> None:
    # msgfmt --check-format holds what a file marks so to Python's % formats, which no text here has.
    made = _empty("de")
    made.add("{share:.0f} % of it, {n} links", "{share:.0f} % davon, {n} Glieder")
    assert b", python-format" not in written_catalogue(made)
    assert b"#, python-brace-format" in written_catalogue(made)
