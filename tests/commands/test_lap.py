"""`gearplan lap`: the ranking as JSON and as a table, one line for what is wrong."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtWidgets import QApplication

from gearplan import cli
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import save_bike
from gearplan.bike.files.circuitfile import demo_circuit, save_circuit


@pytest.fixture
def bike(tmp_path: Path) -> str:
    path = tmp_path / "b.bike.toml"
    save_bike(path, demo_bike("Brindle 650").bike, None)
    return str(path)


@pytest.fixture
def circuit(tmp_path: Path) -> str:
    path = tmp_path / "c.circuit.toml"
    save_circuit(path, demo_circuit("Marlpit Lane").circuit, None)
    return str(path)


def test_lap_as_json(bike: str, circuit: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["lap", bike, circuit, "--front", "13-18", "--rear", "36-52", "--json"]) == 0
    out, err = capsys.readouterr()
    answer = json.loads(out)
    assert err == ""
    assert len(answer["ranking"]) == 6 * 17
    times = [row["lap_s"] for row in answer["ranking"]]
    assert times == sorted(times)
    wanted = {"front", "rear", "links", "lap_s", "gap_s", "up_shifts", "limiter_s", "fits", "apex", "straight"}
    for row in (*answer["ranking"], answer["fitted"]):
        assert wanted <= set(row)
        assert len(row["apex"]) == len(row["straight"]) == 8
    assert answer["fitted"]["gap_s"] == 0
    fitted = [row for row in answer["ranking"] if (row["front"], row["rear"]) == (15, 46)]
    assert fitted[0]["lap_s"] == pytest.approx(answer["fitted"]["lap_s"], abs=1e-5)


def test_lap_for_people_and_as_csv(bike: str, circuit: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    table = tmp_path / "t.csv"
    assert cli.run(["lap", bike, circuit, "--front", "14-16", "--most", "4", "--csv", str(table)]) == 0
    out = capsys.readouterr().out
    assert "\n   4" in out
    assert "\n   5" not in out
    assert "Marlpit Lane, 2056 m" in out
    assert "tied" in out
    assert "not advice" in out
    # The table holds them all, whatever is printed.
    assert cli.run(["lap", bike, circuit, "--front", "14-16", "--json"]) == 0
    ranked = json.loads(capsys.readouterr().out)["ranking"]
    assert len(table.read_text(encoding="utf-8").splitlines()) == len(ranked) + 1 > 20


def test_doubts_decide_the_ties_and_each_set_carries_its_findings(
    bike: str, circuit: str, capsys: pytest.CaptureFixture[str]
) -> None:
    def answer(*options: str) -> dict[str, Any]:
        assert cli.run(["lap", bike, circuit, "--json", *options]) == 0
        found: dict[str, Any] = json.loads(capsys.readouterr().out)
        return found

    usual, sure = (
        answer(),
        answer(
            *(f"--{what}-doubt=0" for what in ("grip", "wind", "mass", "shift-time", "braking", "apex", "lowest-gear"))
        ),
    )
    assert len(sure["plateau"]["tied"]) < len(usual["plateau"]["tied"])
    named = ["grip ±9.1 %", "wind ±7.2 km/h", "mass ±4.3 kg", "shift time ±0.045 s", "braking ±10 %"]
    assert list(usual["plateau"]["doubts"]) == [*named, "apex speeds ±3 %"]
    tied = [[row["front"], row["rear"]] for row in usual["ranking"] if row["tied"]]
    assert tied == usual["plateau"]["tied"]
    told = usual["advice"]
    assert [told["front"], told["rear"]] in tied
    assert told["leave"] is usual["fitted"]["tied"]
    assert f"{told['front']}/{told['rear']}" in told["reason"]
    assert f"{told['loss_s']:.2f} s" in told["reason"]
    assert told["reason"] == usual["plateau"]["why"][0]
    assert sure["plateau"]["doubts"] == {}
    for row in usual["ranking"]:
        assert row["findings"]
    assert cli.run(["lap", bike, circuit, "--shift-time-doubt", "0.06"]) == 0
    assert "against the one to take: grip ±9.1 % " in capsys.readouterr().out


def test_a_centre_line_is_a_circuit_too(bike: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = tmp_path / "oval.csv"
    angles = [k * math.tau / 200 for k in range(200)]
    line.write_text("x,y\n" + "\n".join(f"{300 * math.cos(t):.2f},{150 * math.sin(t):.2f}" for t in angles))
    assert cli.run(["lap", bike, str(line), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["circuit"] == "oval"
    assert any("Radii are those of the line" in notice for notice in answer["notices"])
    assert cli.run(["choices", bike, "--wish", "quickest on this circuit", "--circuit", str(line), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)
    line.write_text("x,y\n0,0\n1,1\n")
    assert cli.run(["lap", bike, str(line)]) == 2
    assert "make no circuit" in capsys.readouterr().err


def test_an_own_lap_time_sets_the_apex_speeds(
    bike: str, circuit: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def told(*options: str) -> dict[str, Any]:
        assert cli.run(["lap", bike, circuit, "--front", "15", "--rear", "46", "--json", *options]) == 0
        answer: dict[str, Any] = json.loads(capsys.readouterr().out)
        return answer

    before = told()
    assert before["own_lap"] is None
    slower = before["fitted"]["lap_s"] + 2
    kept = tmp_path / "own.circuit.toml"
    after = told("--lap-time", f"0:{slower:.2f}" if slower < 60 else f"{slower:.2f}", "--save-circuit", str(kept))
    assert after["fitted"]["lap_s"] == pytest.approx(slower, abs=0.012)
    assert after["own_lap"]["apex_speeds_times"] < 1
    assert any("Apex speeds of" in notice for notice in after["notices"])
    assert cli.run(["lap", bike, str(kept), "--front", "15", "--rear", "46", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["fitted"]["lap_s"] == pytest.approx(after["fitted"]["lap_s"], abs=1e-6)
    assert cli.run(["lap", bike, circuit, "--lap-time", "20"]) == 2
    assert "No grip explains a lap of 20.00 s" in capsys.readouterr().err
    assert cli.run(["lap", bike, circuit, "--fineness", "0.2"]) == 2
    assert "is no line of a track" in capsys.readouterr().err


def test_a_line_is_as_wide_and_fine_as_asked(bike: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    line = tmp_path / "oval.csv"
    angles = [k * math.tau / 200 for k in range(200)]
    line.write_text("x,y\n" + "\n".join(f"{300 * math.cos(t):.2f},{150 * math.sin(t):.2f}" for t in angles))

    def fitted(*options: str) -> float:
        assert cli.run(["lap", bike, str(line), "--front", "15", "--rear", "46", "--json", *options]) == 0
        return float(json.loads(capsys.readouterr().out)["fitted"]["lap_s"])

    assert fitted("--track-width", "20") < fitted() < fitted("--track-width", "0")
    assert fitted("--fineness", "0.5") == fitted()
    for option, value in (("--fineness", "2"), ("--track-width", "-1")):
        assert cli.run(["lap", bike, str(line), option, value]) == 2
        assert "give 0 to" in capsys.readouterr().err


@pytest.mark.parametrize("command", ["picture", "customer", "sheet"])
def test_a_place_that_cannot_be_written_is_named_as_it_was_asked_for(
    command: str, bike: str, qapp: QApplication, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run([command, bike, "--front", "14", "-o", "/no/such/x.pdf"]) == 2
    err = capsys.readouterr().err
    assert "/no/such/x.pdf: " in err
    assert "Errno" not in err
    assert "/no/such/.x" not in err


def test_options_change_the_lap(bike: str, circuit: str, capsys: pytest.CaptureFixture[str]) -> None:
    def quickest(*options: str) -> float:
        arguments = ["lap", bike, circuit, "--front", "15", "--rear", "44-48", "--json", *options]
        assert cli.run(arguments) == 0
        return float(json.loads(capsys.readouterr().out)["ranking"][0]["lap_s"])

    plain = quickest()
    assert quickest("--wind", "40") > plain
    assert quickest("--no-shared-grip") < plain
    assert quickest("--lowest-gear", "3") > plain
    assert quickest("--no-lean", "--no-shared-grip") != plain
    assert cli.run(["lap", bike, circuit, "--chain-at-hand", "--fitting", "--margin", "500", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["ranking"] == []


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["BIKE", "/no/such.circuit.toml"], "/no/such.circuit.toml: there is no such file"),
        (["BIKE", "BIKE"], "this is a bike file"),
        (["CIRCUIT", "CIRCUIT"], "not"),
        (["BIKE", "CIRCUIT", "--front", "18-13"], "upside down"),
        (["BIKE", "CIRCUIT", "--rear", "many"], "no range"),
        (["BIKE", "CIRCUIT", "--wind", "999"], "at most 200 km/h"),
        (["BIKE", "CIRCUIT", "--no-shift-beyond", "95"], "expected 0–90"),
        (["BIKE", "CIRCUIT", "--apex-rpm-min", "-1"], "30000"),
        (["BIKE", "CIRCUIT", "--most", "0"], "at least one"),
        (["BIKE", "CIRCUIT", "--grip-doubt", "70"], "0 to 50 %"),
        (["BIKE", "CIRCUIT", "--mass-doubt", "-1"], "0 to 100 kg"),
        (["BIKE", "CIRCUIT", "--braking-doubt", "51"], "0 to 50 %"),
        (["BIKE", "CIRCUIT", "--apex-doubt", "31"], "0 to 30 %"),
        (["BIKE", "CIRCUIT", "--lowest-gear", "9"], "expected 1–8"),
        (["BIKE", "CIRCUIT", "--lowest-gear-doubt", "0.5"], "whole gears"),
        (["BIKE", "CIRCUIT", "--lowest-gear-doubt", "4"], "0 to 3 gears"),
        (["BIKE", "CIRCUIT", "--stock", "/no/such.csv"], "no such file"),
        (["BIKE", "CIRCUIT", "--csv", "/no/such/t.csv"], "cannot be written"),
        (["BIKE"], "CIRCUIT"),
        (["EMPTY", "CIRCUIT"], "engine.torque"),
        (["BIKE", "BARE"], "no sections"),
        (["BIKE", "UNFINISHED"], "Section 1"),
    ],
)
def test_what_is_wrong_is_one_line(
    arguments: list[str], says: str, bike: str, circuit: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    empty, bare, unfinished = (tmp_path / name for name in ("e.bike.toml", "n.circuit.toml", "u.circuit.toml"))
    empty.write_text('format = 1\nname = "x"\n[final_drive]\nfront = 15\nrear = 45\n', encoding="utf-8")
    bare.write_text("format = 1\n", encoding="utf-8")
    unfinished.write_text('format = 1\n[[section]]\nkind = "corner"\nlength_m = 30\n', encoding="utf-8")
    names = {"BIKE": bike, "CIRCUIT": circuit, "EMPTY": str(empty), "BARE": str(bare), "UNFINISHED": str(unfinished)}
    assert cli.run(["lap", *(names.get(word, word) for word in arguments)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert says.split(".")[-1] in err


def test_a_race_gearbox_multiplies_the_sets(bike: str, circuit: str, capsys: pytest.CaptureFixture[str]) -> None:
    least = ["lap", bike, circuit, "--front", "15", "--rear", "45-46", "--json"]
    assert cli.run(least) == 0
    alone = json.loads(capsys.readouterr().out)["ranking"]
    assert cli.run([*least, "--pairs", "3", "19/28; 20/29"]) == 0
    several = json.loads(capsys.readouterr().out)["ranking"]
    assert len(several) == 3 * len(alone)
    assert {round(28 / 19, 6), 1.45, 1.5} == {row["gears"][2] for row in several}
    assert cli.run([*least, "--pairs", "2", "33/17"]) == 0
    notes = json.loads(capsys.readouterr().out)["notes"]
    assert "Gear 2: 33/17 (0.515) is not above gear 3's 1.500, so it is in no gearbox." in notes[0]
    for wrong, told in (
        (["9", "19/28"], "gears 1 to 6"),
        (["3", "teeth"], "“teeth”"),
        (["x", "19/28"], "--pairs x"),
    ):
        assert cli.run([*least, "--pairs", *wrong]) == 2
        assert told in capsys.readouterr().err
