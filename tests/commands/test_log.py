"""`gearplan log`: text, JSON, and one line for what cannot be done."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gearplan import cli
from gearplan.bike.files.bikefile import save_bike
from gearplan.bike.files.circuitfile import read_circuit
from gearplan.ridelog.demolog import csv_text
from gearplan.ridelog.reading.csvfile import look
from gearplan.ridelog.reading.said import keep
from tests.ridelog.rides import BRINDLE, CIRCUIT, lapped, ride, truly


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    bike, log = tmp_path / "b.bike.toml", tmp_path / "ride.csv"
    save_bike(bike, BRINDLE, None)
    log.write_text(csv_text(ride(truly(BRINDLE, -1, 1), 3)), encoding="utf-8")
    return str(log), str(bike)


def test_the_answer_as_json(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["log", *files, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["used_rows"] == answer["rows"] > 4000
    assert answer["final_drive"][0]["front"] == 14
    assert answer["final_drive"][0]["rear"] == 47
    assert answer["rolling_circumference_low_m"] <= 1.955 <= answer["rolling_circumference_high_m"]
    assert [gear["gear"] for gear in answer["gears"]] == [1, 2, 3, 4, 5, 6]
    true = [75 / 43 * ratio * 47 / 14 for ratio in (32 / 13, 30 / 16, 27 / 18, 25 / 20, 24 / 22, 1.0)]
    for gear, ratio in zip(answer["gears"], true, strict=True):
        assert gear["low"] <= ratio <= gear["high"]
        assert 0 < gear["share_of_time"] < 1
        assert abs(gear["off_percent"]) < 0.3
    assert {finding["level"] for finding in answer["findings"]} <= {"fits", "check"}


def test_the_answer_for_people(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["log", *files]) == 0
    out = capsys.readouterr().out
    for words in ("looks like 14/47, not 15/46", "rolls 19", "share of time", "Count the teeth"):
        assert words in out


def test_the_unit_of_speed_can_be_said(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["log", *files, "--speed-unit", "mph"]) == 0
    assert "Is the road speed in km/h?" in capsys.readouterr().out


def test_a_guessed_column_is_told_in_words(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    log = Path(files[0])
    log.write_text(log.read_text(encoding="utf-8").replace("speed_kmh", "speed", 1), encoding="utf-8")
    assert cli.run(["log", *files]) == 0
    assert "Column “speed” is read as road speed in km/h: no unit is named" in capsys.readouterr().out


@pytest.mark.parametrize("content", [b"", b"\0\1", b"hello", b"a,b\n1,2\n3,4\n"])
def test_what_is_no_log_is_one_line_and_exit_code_2(
    files: tuple[str, str], content: bytes, capsys: pytest.CaptureFixture[str]
) -> None:
    Path(files[0]).write_bytes(content)
    assert cli.run(["log", *files]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "ride.csv" in err


def test_missing_files_are_one_line(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    for given in (("none.csv", files[1]), (files[0], "none.bike.toml"), (files[0],)):
        assert cli.run(["log", *given]) == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_a_log_without_engine_speed_still_answers(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    Path(files[0]).write_text("time_s,speed_kmh\n" + "\n".join(f"{i},{50 + i % 7}" for i in range(200)))
    assert cli.run(["log", *files, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["gears"] == []
    assert "no engine speed" in answer["findings"][0]["text"]


def test_laps_become_a_circuit_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bike, log, out = tmp_path / "b.bike.toml", tmp_path / "laps.csv", tmp_path / "own.circuit.toml"
    save_bike(bike, BRINDLE, None)
    log.write_text(csv_text(lapped(2)[1]), encoding="utf-8")
    assert cli.run(["log", str(log), str(bike), "--json", "--circuit", str(out)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert len(answer["laps_s"]) >= 4
    assert answer["laps_by"] == "position"
    assert answer["best_lap_s"] == min(answer["laps_s"])
    circuit = read_circuit(out).circuit
    assert circuit.length_m == pytest.approx(CIRCUIT.length_m, rel=5e-3)
    assert len(answer["circuit"]) == len(circuit.sections)
    assert "WGS" not in out.read_text()
    capsys.readouterr()
    assert cli.run(["log", str(log), str(bike), "--circuit", str(out), "--with-place"]) == 0
    assert "# the start line lies at " in out.read_text()
    assert read_circuit(out).circuit == circuit
    assert cli.run(["log", str(log), str(bike), "--lap", "median", "--circuit", str(tmp_path / "no" / "x.toml")]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert cli.run(["log", str(log), str(bike)]) == 0
    assert "whole laps" in capsys.readouterr().out


def test_teeth_that_were_counted_narrow_the_answer(files: tuple[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    def width() -> float:
        answer = json.loads(capsys.readouterr().out)
        for one in answer["final_drive"]:
            assert one["rolling_circumference_low_m"] < one["rolling_circumference_m"]
            assert one["rolling_circumference_m"] < one["rolling_circumference_high_m"]
            assert one["indicated_over_true_low"] < one["indicated_over_true_high"]
        return float(answer["rolling_circumference_high_m"] / answer["rolling_circumference_low_m"])

    assert cli.run(["log", *files, "--json"]) == 0
    open_ = width()
    assert cli.run(["log", *files, "--json", "--counted", "14/47"]) == 0
    assert width() < 0.985 * open_
    for wrong in ("14", "0/45", "a/b"):
        assert cli.run(["log", *files, "--counted", wrong]) == 2
        assert "such as 15/45" in capsys.readouterr().err


def test_a_column_can_be_said_and_what_was_said_before_is_remembered(
    files: tuple[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    log = Path(files[0])
    log.write_text(log.read_text(encoding="utf-8").replace("speed_kmh", "q7", 1), encoding="utf-8")
    assert cli.run(["log", *files]) == 2
    assert "No column holds a speed" in capsys.readouterr().err
    assert cli.run(["log", *files, "--column", "q7=road km/h", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["gears_used"] > 2
    for wrong, words in (("q8=road", "there are “time_s”"), ("q7=shoe", "is none of"), ("q7=road s", "km/h")):
        assert cli.run(["log", *files, "--column", wrong]) == 2
        err = capsys.readouterr().err
        assert words in err
        assert err.count("\n") == 1
    layout = look(log)
    keep(layout.with_column(next(c.index for c in layout.columns if c.heading == "q7"), "road"))
    assert cli.run(["log", *files, "--json"]) == 0
    notices = json.loads(capsys.readouterr().out)["notices"]
    assert "The columns are read as you said for an earlier file with these headings." in notices
