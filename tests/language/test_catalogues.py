"""The catalogues: brought up to the program, whole, and true to the fields of each text."""

from __future__ import annotations

import os
import re
import string
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest
from making import language

from gearplan.language import CATALOGUES, LANGUAGES, LONGER

OTHERS = [code for code in LANGUAGES if code != "en"]
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module", params=OTHERS)
def code(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_a_catalogue_is_as_the_program_asks_for_it(code: str) -> None:
    made = language.brought_up(code)
    assert (CATALOGUES / f"{code}.po").read_bytes() == language.written(made), "run python -m making.language"
    assert (CATALOGUES / f"{code}.mo").read_bytes() == language.compiled(made), "run python -m making.language"


def test_every_text_is_translated(code: str) -> None:
    assert [m.id for m in language.kept(code) if m.id and not language.translated(m)] == []


def fields(text: str) -> Counter[str]:
    return Counter(f"{name}:{spec}" for _, name, spec, _ in string.Formatter().parse(text) if name is not None)


def test_a_translation_has_the_fields_of_its_text(code: str) -> None:
    wrong = []
    for message in language.kept(code):
        if not message.id:
            continue
        known = message.id if isinstance(message.id, tuple) else (message.id,)
        told = message.string if isinstance(message.string, tuple) else (message.string,)
        # A count may be left out where a form says it in words.
        asked = [set(fields(str(text))) - {"n:"} for text in known]
        if any(set(fields(str(text))) - {"n:"} not in asked for text in told):
            wrong.append(message.id)
    assert wrong == []


@pytest.mark.parametrize(
    ("code", "sizes"), [("de", ["960x520", "1280x720"]), (LONGER, ["1280x720", "1366x700"])], ids=["de", "longer"]
)
def test_no_page_cuts_a_text_off(code: str, sizes: list[str]) -> None:
    assert run("-m", "tests.language.room", code, *sizes, check=False) == ""


def test_no_page_shows_a_text_that_no_catalogue_has() -> None:
    assert run("-m", "tests.language.unmarked", check=False) == "0 texts\n"


def run(*arguments: str, check: bool = True) -> str:
    """What a process of its own prints: a language is spoken from the start on."""
    environment = os.environ | {"PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, *arguments], env=environment, capture_output=True, text=True, check=check, cwd=ROOT
    )
    assert "Traceback" not in done.stderr, done.stderr
    return done.stdout


def test_keys_of_menus_are_unique_within_each_list(code: str) -> None:
    """In the languages that have them: a letter twice would only go to and fro."""
    script = (
        "from gearplan.bike.demo import demo_bike\n"
        "from gearplan.window.frame.application import prepared_application\n"
        "from gearplan.window.frame.settings import Settings\n"
        "from gearplan.window.frame.workbench import Workbench\n"
        "app = prepared_application()\n"
        "window = Workbench(Settings())\n"
        "window.files.start_with(demo_bike(), None)\n"
        "def look(menu, name):\n"
        "    for action in menu.actions():\n"
        "        if action.text():\n"
        "            print(name + '\\t' + action.text())\n"
        "        if action.menu():\n"
        "            look(action.menu(), name + '/' + action.text())\n"
        "look(window.menuBar(), '')\n"
    )
    told = run("-c", f"import os; os.environ['LANGUAGE'] = '{code}'\n{script}")
    keys = Counter(
        (menu, found[1].lower())
        for menu, text in (line.split("\t", 1) for line in told.splitlines())
        if (found := re.search(r"&(\w)", text.replace("&&", "")))
    )
    assert len(keys) > 30
    assert [key for key, count in keys.items() if count > 1] == []
