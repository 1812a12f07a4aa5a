"""A search on a terminal: how far it is, and Ctrl+C keeps what is ranked."""

from __future__ import annotations

import signal
import sys
from pathlib import Path

import pytest

from gearplan import cli
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import save_bike
from gearplan.bike.files.circuitfile import demo_circuit, save_circuit
from gearplan.commands.watched import Watched
from gearplan.plan.laps.search import SoFar, left_text, so_far_text


def test_the_words_for_how_far_a_search_is() -> None:
    assert so_far_text(SoFar(0, 43741), 0.2) == "0 of 43741 sets ridden."
    half = SoFar(20, 40, 3, "17/43 with gear 1 17/38", 87.1)
    assert so_far_text(half, 7.6) == (
        "20 of 40 sets ridden, about 8 s left. Best so far: 17/43 with gear 1 17/38, 1:27.1."
    )
    assert left_text(0.01, 3.0) == "about 5 min left"
    assert left_text(1.0, 3.0) == "about 1 s left"


def test_the_line_is_written_on_a_terminal_only_and_taken_back(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("gearplan.commands.watched._LONG", 0.0)
    with Watched() as watched:
        assert watched.told(SoFar(20, 40))
    assert capsys.readouterr().err == ""
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    with Watched() as watched:
        assert watched.told(SoFar(20, 40))
    written = capsys.readouterr().err
    assert "20 of 40 sets ridden" in written
    assert written.endswith("\r\033[K")


def test_the_first_interrupt_keeps_what_is_ranked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    for name, value in (("_DETAILED", 0), ("_PART", 20), ("cores", lambda: 1)):
        monkeypatch.setattr(f"gearplan.plan.laps.search.{name}", value)
    plain = Watched.told

    def told(watched: Watched, now: SoFar) -> bool:
        if now.done >= 40:
            signal.raise_signal(signal.SIGINT)
        return plain(watched, now)

    monkeypatch.setattr(Watched, "told", told)
    bike, circuit = tmp_path / "one.bike.toml", tmp_path / "one.circuit.toml"
    save_bike(bike, demo_bike().bike, None)
    save_circuit(circuit, demo_circuit().circuit, None)
    before = signal.getsignal(signal.SIGINT)
    assert cli.run(["lap", str(bike), str(circuit)]) == 0
    assert signal.getsignal(signal.SIGINT) is before
    assert "sets are ranked. A quicker one may be among the others." in capsys.readouterr().out


def test_a_second_interrupt_ends_the_command(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def told(watched: Watched, now: SoFar) -> bool:
        for _ in range(2):
            signal.raise_signal(signal.SIGINT)
        return True

    monkeypatch.setattr(Watched, "told", told)
    bike, circuit = tmp_path / "one.bike.toml", tmp_path / "one.circuit.toml"
    save_bike(bike, demo_bike().bike, None)
    save_circuit(circuit, demo_circuit().circuit, None)
    assert cli.run(["lap", str(bike), str(circuit)]) == 130
