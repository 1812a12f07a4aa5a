"""What the world around a command does to it: pipes, devices, full outputs, odd encodings, a key that stops it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from gearplan.__main__ import told_apart
from gearplan.bike.demo import demo_bike
from gearplan.bike.enginecurve import CurveError, read_curve, read_text
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.bikefile import BikeFileError, bike_from_text, read_bike, save_bike
from gearplan.bike.files.ordinary import open_file, read_file
from gearplan.bike.stocklist.reading import read_stock
from gearplan.bike.stocklist.table import StockError
from gearplan.bike.text.written import shortened
from gearplan.plan.lines.opening import read_points
from gearplan.plan.lines.points import LineError
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.opening import read_log
from gearplan.sheet.shop import logo_bytes

ENVIRONMENT = os.environ | {"PYTHONPATH": str(Path(__file__).parents[2])}
NUMBERS = (sys.executable, "-P", "-m", "gearplan", "numbers")
posix = pytest.mark.skipif(os.name != "posix", reason="pipes in folders are POSIX's")


@pytest.fixture(scope="module")
def bike(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("bikes") / "b.bike.toml"
    save_bike(path, demo_bike().bike, None)
    return path


@pytest.fixture
def pipe(tmp_path: Path) -> Path:
    """A pipe to which nobody writes."""
    path = tmp_path / "pipe.csv"
    os.mkfifo(path)
    return path


@posix
@pytest.mark.parametrize("read", [read_bike, read_text, read_stock, read_points, read_log])
@pytest.mark.parametrize("what", ["pipe", "/dev/zero", "folder"])
def test_what_is_no_file_is_refused_at_once(read: object, what: str, pipe: Path, tmp_path: Path) -> None:
    path = {"pipe": pipe, "/dev/zero": Path("/dev/zero"), "folder": tmp_path}[what]
    with pytest.raises((BikeFileError, CurveError, StockError, LineError, LogError)) as refused:
        read(path)  # type: ignore[operator]
    assert (
        "folder" in str(refused.value).lower()
        or "not a file" in str(refused.value)
        or "directory" in str(refused.value)
    )


@posix
def test_a_pipe_is_no_logo_and_is_never_written_over(pipe: Path) -> None:
    with pytest.raises((OSError, ValueError)):
        logo_bytes(str(pipe))
    with pytest.raises(OSError, match="not a file"):
        replace_file(pipe, b"new")
    assert pipe.is_fifo()
    with pytest.raises(OSError, match="not a file"):
        open_file(pipe)


def test_what_is_larger_than_it_may_be_is_not_read_to_its_end(tmp_path: Path) -> None:
    path = tmp_path / "large"
    path.write_bytes(b"x" * 2001)
    assert read_file(path, 2001) == b"x" * 2001
    with pytest.raises(OSError, match="larger than 2 kB"):
        read_file(path, 2000)


@pytest.mark.parametrize("read", [read_bike, read_text, read_stock, read_points])
def test_every_kind_of_file_is_refused_in_the_same_words(
    read: Callable[[Path], object], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with pytest.raises(ValueError, match="there is no such file"):
        read(tmp_path / "none")
    with pytest.raises(ValueError, match="this is a folder, not a file"):
        read(tmp_path)
    broken = tmp_path / "broken"
    broken.write_bytes(b"1,2\n\xfc,3\n")
    if read is not read_stock:
        # A stock list may be in the encoding of an older spreadsheet.
        with pytest.raises(ValueError, match=r"not a text file in UTF-8 \(byte 4\)"):
            read(broken)

    def locked(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "open", locked)
    with pytest.raises(ValueError, match="cannot be read: Permission denied"):
        read(broken)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (".".join(["a"] * 200_000) + " = 1", "name of more than"),
        ("x = " + "{a = " * 60 + "1" + "}" * 60, "deep"),
        ("[" + ".".join(["a"] * 50) + "]", "name of more than"),
    ],
)
def test_names_nested_without_end_are_refused(text: str, says: str) -> None:
    with pytest.raises(BikeFileError, match=says):
        bike_from_text(f"format = 1\n{text}\n", "b")


def test_of_unknown_names_only_the_first_are_told() -> None:
    read = bike_from_text("format = 1\n[engine]\n" + "\n".join(f"odd_{at} = 1" for at in range(20_000)), "b")
    assert len(read.notices) == 21
    assert "more names" in read.notices[-1]


def test_torque_and_power_that_contradict_with_a_zero_are_refused() -> None:
    with pytest.raises(CurveError, match=r"Row 2: .*is 0"):
        read_curve("rpm;N·m;kW\n2000;0;6,387\n3000;10;3,14\n4000;20;8,4\n")


def test_a_cell_without_end_in_a_stock_list_does_not_stop_the_others(tmp_path: Path) -> None:
    path = tmp_path / "stock.csv"
    path.write_text(f'part;teeth;chain;note\nfront sprocket;15;520;"{"x" * 140_000}\nfront sprocket;16;520;\n')
    read = read_stock(path)
    assert read.stock is not None


def test_messages_are_one_short_line() -> None:
    assert shortened("a\nb  c") == "a b c"
    assert shortened("it is " + "9" * 900_000) == "it is " + "9" * 40 + "…" + "9" * 20
    assert len(shortened("word " * 500)) == 300
    assert shortened("word " * 60) == ("word " * 60).strip()


def run(*arguments: str | Path, **env: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [sys.executable, "-P", "-m", "gearplan", *arguments],
        capture_output=True,
        env=ENVIRONMENT | env,
    )


def test_an_output_that_is_not_utf_8_loses_signs_and_nothing_else(bike: Path) -> None:
    plain = {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    made = run("numbers", bike, **plain)
    assert (made.returncode, made.stderr) == (0, b"")
    told = run("numbers", bike, "--json", **plain)
    assert json.loads(told.stdout) == json.loads(run("numbers", bike, "--json").stdout)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="a device that is always full is Linux's")
def test_a_full_output_is_one_line(bike: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        made = subprocess.run(
            [sys.executable, "-P", "-m", "gearplan", "numbers", bike],
            stdout=full,
            stderr=subprocess.PIPE,
            env=ENVIRONMENT,
        )
    assert made.returncode == 2
    assert made.stderr.decode().count("\n") == 1
    assert made.stderr.startswith(b"gearplan: the output cannot be written")


@posix
def test_a_reader_that_goes_is_no_fault(bike: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    made = subprocess.run(
        [sys.executable, "-P", "-m", "gearplan", "numbers", bike],
        stdout=writing,
        stderr=subprocess.PIPE,
        env=ENVIRONMENT,
    )
    os.close(writing)
    assert (made.returncode, made.stderr) == (0, b"")


@posix
def test_the_key_that_stops_leaves_one_line(bike: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stops = "import os, signal, gearplan.cli as c; c.run = lambda _: os.kill(os.getpid(), signal.SIGINT);"
    made = subprocess.run(
        [sys.executable, "-P", "-c", f"{stops} import sys; sys.argv[1:] = ['numbers'];"
         "from gearplan.__main__ import main; sys.exit(main())"],
        capture_output=True, env=ENVIRONMENT,
    )  # fmt: skip
    assert (made.returncode, made.stderr) == (128 + signal.SIGINT, b"gearplan: stopped\n")


@pytest.mark.parametrize(
    ("argument", "says"), [("number", "did you mean numbers?"), ("xyzzy", "neither a command nor")]
)
def test_a_mistyped_command_opens_no_window(argument: str, says: str) -> None:
    assert says in told_apart(argument)
    made = run(argument)
    assert made.returncode == 2
    assert says in made.stderr.decode()


def test_a_name_that_can_be_a_file_is_left_to_the_window(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("number").touch()
    for argument in ("number", "away.bike.toml", "./away"):
        assert told_apart(argument) == ""
