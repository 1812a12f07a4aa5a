"""The commands: exit codes, one line for what is wrong, JSON that is strict."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from gearplan import __version__, cli
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import save_bike
from gearplan.bike.library import demo_bikes
from gearplan.commands.output.numbersjson import numbers
from gearplan.plan.driveset import fitted

# Drawing needs an application; in this process it is the one that all tests share.
pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def bike(tmp_path: Path) -> str:
    path = tmp_path / "b.bike.toml"
    save_bike(path, demo_bike("Corvid 1000").bike, None)
    return str(path)


def test_numbers_as_json(bike: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["numbers", bike, "--front", "15", "--rear", "45", "--links", "118", "--json"]) == 0
    out, err = capsys.readouterr()
    answer = json.loads(out)
    assert err == ""
    assert answer["notices"] == []
    assert (answer["proposed"]["front"], answer["proposed"]["links"]) == (15, 118)
    known = numbers(demo_bike("Corvid 1000").bike, fitted(demo_bike("Corvid 1000").bike))
    assert answer["fitted"] == json.loads(json.dumps(known["fitted"]))


def test_numbers_for_people(bike: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["numbers", bike, "--front", "13"]) == 0
    out = capsys.readouterr().out
    for words in (
        "Corvid 1000",
        "13/43",
        "does not fit",
        "0–100 km/h, s",
        "Top speed, km/h",
        "smallest, 15 teeth",
        "obey limits",
    ):
        assert words in out


def test_without_a_file_the_demo_bike_answers(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["numbers"]) == 0
    assert next(iter(demo_bikes())) in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["numbers", "/no/such.bike.toml"], "/no/such.bike.toml: there is no such file"),
        (["numbers", "/"], "folder"),
        (["numbers", "--front", "8"], "9–60"),
        (["numbers", "--front", "1.5"], "whole number"),
        (["numbers", "--front", "many"], "“many” is not a whole number; write it like 12 ("),
        (["numbers", "--rear", "900"], "9–150"),
        (["numbers", "--tyre", "wide"], "such as 180/55"),
        (["numbers", "--links", "5"], "20–400"),
        (["numbers", "--frnt", "8"], "--frnt"),
        (["picture"], "--output"),
        (["picture", "-o", "x.jpg"], ".png, .svg or .pdf"),
        (["picture", "-o", "/no/folder/x.png"], "/no/folder/x.png"),
        (["sums"], "sums"),
    ],
)
def test_what_is_wrong_is_one_line_and_exit_code_2(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert err.startswith("gearplan: ")
    assert says in err


def test_unknown_keys_are_told_and_do_no_harm(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "odd.bike.toml"
    path.write_text("format = 1\n[engine]\nredlin_rpm = 9000\n")
    assert cli.run(["numbers", str(path), "--json"]) == 0
    [notice] = json.loads(capsys.readouterr().out)["notices"]
    assert "redline_rpm" in notice


def test_a_picture(tmp_path: Path, bike: str, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "speed.png"
    assert cli.run(["picture", bike, "--rear", "45", "-o", str(target)]) == 0
    assert target.read_bytes().startswith(b"\x89PNG")
    assert str(target) in capsys.readouterr().out


def start(*arguments: str, cwd: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    root = str(Path(__file__).parents[2])
    keep = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    return subprocess.run(
        [sys.executable, "-m", "gearplan", *arguments],
        cwd=cwd,
        env={**keep, "PYTHONPATH": root, **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def test_version_and_help(tmp_path: Path) -> None:
    assert start("--version", cwd=tmp_path).stdout == f"gearplan {__version__}\n"
    told = start("--help", cwd=tmp_path)
    assert told.returncode == 0
    assert "numbers" in told.stdout


def test_without_a_display_numbers_and_a_picture_of_the_page(tmp_path: Path) -> None:
    told = start(cwd=tmp_path)
    assert told.returncode == 0, told.stderr
    assert "there is no display" in told.stdout
    assert "Brindle 650" in told.stdout
    picture = tmp_path / "gearplan-speed.png"
    assert str(picture) in told.stdout
    assert picture.read_bytes().startswith(b"\x89PNG")


def test_a_display_that_does_not_answer(tmp_path: Path) -> None:
    told = start(cwd=tmp_path, DISPLAY=":987")
    assert told.returncode == 0, told.stderr
    assert "No window can be shown" in told.stdout


def test_a_bad_file_without_a_display(tmp_path: Path) -> None:
    told = start("none.bike.toml", cwd=tmp_path)
    assert told.returncode == 2
    assert "none.bike.toml: there is no such file" in told.stderr


def test_a_closed_pipe_is_no_error(tmp_path: Path) -> None:
    root = str(Path(__file__).parents[2])
    command = f'"{sys.executable}" -m gearplan numbers | head -c 10; exit "${{PIPESTATUS[0]}}"'
    told = subprocess.run(
        ["bash", "-c", command],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": root},
        capture_output=True,
        text=True,
        check=False,
    )
    assert told.returncode == 0
    assert "Traceback" not in told.stderr


def test_choices_as_json(bike: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["choices", bike, "--wish", "calmer", "--wish", "keep the chain", "--json", "--why", "18/40"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [wish["words"] for wish in answer["wishes"]] == ["calmer", "keep the chain"]
    first = answer["choices"][0]
    assert first["links"] == 116
    assert first["engine_speed_change_percent"] < 0
    assert {"front", "rear", "chain", "verdict", "new_parts", "line", "alike", "price", "lap_s"} <= set(first)
    assert answer["met"] >= len(answer["choices"]) > 1
    assert answer["why"]


def test_choices_for_people(bike: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["choices", bike, "--wish", "top gear reaches at least 280 km/h", "--front", "15-17"]) == 0
    out = capsys.readouterr().out
    for words in (
        "Corvid 1000",
        "Asked for: top gear reaches at least 280 km/h",
        "1. ",
        "rule of thumb",
        "obey limits",
    ):
        assert words in out


def test_choices_with_a_stock_list(bike: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "s.csv").write_text("chain_size,side,teeth,quantity,price\n525,front,17,1,19.5\n525,front,x,1,1\n")
    stock = ["--stock", str(tmp_path / "s.csv")]
    assert cli.run(["choices", bike, "--wish", "calmer", "--wish", "only sizes on the shelf", *stock]) == 0
    out = capsys.readouterr().out
    assert "17/43" in out
    assert "parts 19.50" in out
    assert "line 3" in out


def test_a_whole_sentence_is_understood_and_its_speed_answered(capsys: pytest.CaptureFixture[str]) -> None:
    said = "I do 120 on the motorway and want it calmer, without a new chain"
    assert said in (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    assert cli.run(["choices", "--wish", said, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert [wish["words"] for wish in answer["wishes"]] == ["calmer", "keep the chain"]
    assert all("rpm at 120 km/h in top gear" in choice["line"] for choice in answer["choices"])
    assert cli.run(["choices", "--wish", "520 conversion", "--wish", "I do 120"]) == 0
    assert "rpm at 120 km/h" in capsys.readouterr().out
    assert cli.run(["choices", "--wish", ""]) == 2


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["choices", "--wish", "calmish"], "nearest is “calmer”"),
        (["choices", "--front", "18-13"], "upside down"),
        (["choices", "--rear", "36-900"], "9–150"),
        (["choices", "--stock", "/no/such.csv"], "no such file"),
        (["choices", "--why", "14"], "14/48"),
        (["choices", "--most", "0"], "1 to 100"),
        (["choices", "--chain", "5200"], "5200"),
    ],
)
def test_choices_refuses_in_one_line(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(arguments) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert says in err


def test_numbers_take_an_engine_curve_from_a_table(
    bike: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "curve.csv"
    own = demo_bike("Corvid 1000").bike
    assert cli.run(["numbers", bike, "--json"]) == 0
    before = json.loads(capsys.readouterr().out)["proposed"]
    assert own.engine.torque is not None
    table.write_text(
        "rpm;N·m\n" + "\n".join(f"{rpm};{0.8 * torque:.3f}".replace(".", ",") for rpm, torque in own.engine.torque)
    )
    assert cli.run(["numbers", bike, "--curve", str(table), "--json"]) == 0
    weaker = json.loads(capsys.readouterr().out)["proposed"]
    assert weaker["time_80_120_top_gear_s"] > 1.2 * before["time_80_120_top_gear_s"]
    assert weaker["final_ratio"] == before["final_ratio"]


def test_a_table_that_is_no_curve_is_refused_by_its_row(
    bike: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "curve.csv"
    for text, told in (("rpm,Nm\n2000,fast\n3000,40", "Row 2: torque “fast”"), ("rpm,Nm\n2000,40", "one point")):
        table.write_text(text)
        assert cli.run(["numbers", bike, "--curve", str(table)]) == 2
        assert told in capsys.readouterr().err
    table.write_bytes(b"rpm;Nm\n1000;\xe4\n")
    assert cli.run(["numbers", bike, "--curve", str(table)]) == 2
    assert "UTF-8" in capsys.readouterr().err
    assert cli.run(["numbers", bike, "--curve", str(tmp_path)]) == 2
    assert "a folder, not a file" in capsys.readouterr().err
