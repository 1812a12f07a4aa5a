"""The commands `book` and `season`, and what `lap` takes from the book and from the weather."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gearplan import cli
from gearplan.bike import library
from gearplan.plan.season.wet import USUAL_WET

BOOK = """\
format = 1
[[entry]]
day = 2025-06-08
circuit = "Heronfleet"
temperature_c = 24
track = "dry"
front = 15
rear = 44
lap_s = "1:28.30"
notes = "tail wind"
[[entry]]
day = 2025-09-01
circuit = "Heronfleet"
track = "wet"
lap_s = 0
"""
CIRCUITS = [str(file) for file in library.demo_circuits().values()]


@pytest.fixture
def bike(tmp_path: Path) -> Path:
    path = tmp_path / "own.bike.toml"
    path.write_text(next(iter(library.demo_bikes().values())).read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "own.book.toml").write_text(BOOK, encoding="utf-8")
    return path


def _run(capsys: pytest.CaptureFixture[str], *arguments: object) -> str:
    assert cli.run([str(one) for one in arguments]) == 0
    return capsys.readouterr().out


def test_the_book_is_searched_by_words_and_temperature(bike: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = _run(capsys, "book", bike, "what did we run here, at 25 °C?", "--circuit", "heronfleet", "--json")
    found = json.loads(text)
    assert [entry["number"] for entry in found["entries"]] == [1, 2]
    assert found["entries"][0]["lap_s"] == pytest.approx(88.3)
    assert "no advice can start from it" in found["entries"][1]["lacks"][0]
    assert "0 is no lap" in found["notices"][0]
    table = _run(capsys, "book", bike.with_name("own.book.toml"), "tail")
    assert "15/44" in table
    assert "tail wind" in table
    assert "1 of 2 entries." in table
    assert "Nothing found among 2 entries." in _run(capsys, "book", bike, "snow")


def test_the_nearest_outing_is_told_with_what_differs(bike: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("book", bike, "--nearest", "--circuit", "Heronfleet", "--temperature", "31", "--track", "damp")
    assert "today: damp instead of dry, 7 °C warmer" in _run(capsys, *asked)
    (near,) = json.loads(_run(capsys, *asked, "--json"))["nearest"]
    # One step of the track, and seven degrees of ten.
    assert near["steps_apart"] == pytest.approx(4 + 0.7)


def test_a_lap_starts_from_the_book_and_a_broken_one_does_not_stop_it(
    bike: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = ("lap", bike, CIRCUITS[1], "--front", "15-16", "--rear", "43-45", "--json")
    told = json.loads(_run(capsys, *asked))["book"]
    assert told["entry"]["front"] == 15
    assert told["text"].startswith("Start from the book: 2025-06-08, 15/44, 1:28.30, 24 °C, dry.")
    bike.with_name("own.book.toml").write_text("format = 1\n[[entry", encoding="utf-8")
    broken = json.loads(_run(capsys, *asked))
    assert broken["book"] is None
    assert "not a readable book file" in " ".join(broken["notices"])


def test_a_wet_track_is_slower_and_says_what_was_changed(bike: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("lap", bike, CIRCUITS[1], "--front", "15-15", "--rear", "44-44", "--json")
    dry, usual, own = (
        json.loads(_run(capsys, *asked, *more)) for more in ((), ("--wet",), ("--wet", str(USUAL_WET + 0.1)))
    )
    assert dry["ranking"][0]["lap_s"] < own["ranking"][0]["lap_s"] < usual["ranking"][0]["lap_s"]
    assert "common practice, no source" in " ".join(usual["notices"])
    assert "(as given)" in " ".join(own["notices"])


def test_one_set_for_several_circuits(bike: Path, capsys: pytest.CaptureFixture[str]) -> None:
    asked = ("season", bike, *CIRCUITS[:2], "--front", "15-16", "--rear", "44-46")
    found = json.loads(_run(capsys, *asked, "--json"))
    assert len(found["ranking"]) == 6
    assert found["advice"]["reason"] in _run(capsys, *asked)
    certain = [f"--{name}-doubt" for name in ("grip", "wind", "mass", "shift-time", "braking", "apex")]
    known = [part for option in certain for part in (option, "0")]
    pairs = json.loads(_run(capsys, *asked, *known, "--pairs", "3", "19/28", "--json"))
    assert len(pairs["ranking"]) == 12
    assert sum("gear 3 19/28" in row["besides"] for row in pairs["ranking"]) == 6
    assert "in 19 of 20 cases" not in pairs["advice"]["reason"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("book", "absent.bike.toml"), "absent.book.toml: there is no book here yet"),
        (("book", "BIKE", "--nearest"), "--nearest: name the circuit with --circuit"),
        (("book", "BIKE", "--rider", "Jo"), "--rider: goes with --nearest"),
        (("lap", "BIKE", CIRCUITS[0], "--wet", "7"), "--wet 7: give 0.2 to 1"),
        (("season", "BIKE", "absent.circuit.toml"), "there is no such file"),
        (("season", "BIKE", CIRCUITS[0], "--most", "0"), "--most 0"),
        (("season", "BIKE", CIRCUITS[0], "--pairs", "9", "19/28"), "--pairs 9"),
        (("season", "BIKE", CIRCUITS[0], "--grip-doubt", "80"), "--grip-doubt 80: give 0 to 50 %"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(
    bike: Path, arguments: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run([str(bike) if one == "BIKE" else one for one in arguments]) == 2
    error = capsys.readouterr().err
    assert told in error
    assert error.count("\n") == 1


@pytest.mark.parametrize("name", ["", ".", "/"])
def test_a_folder_is_no_book(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["book", name]) == 2
    assert "there is no book here yet" in capsys.readouterr().err
