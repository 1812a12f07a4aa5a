"""What is remembered is written when it changes, into what other windows have written meanwhile."""

from __future__ import annotations

import fcntl
import os
import threading
import tomllib
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from gearplan.bike.files.ownfolders import settings_file
from gearplan.window.frame import settings
from gearplan.window.frame.settings import Remembered, Settings
from gearplan.window.frame.workbench import Workbench


def untold(told: str) -> None:
    raise AssertionError(told)


def windows(count: int) -> list[Remembered]:
    return [Remembered(settings.load(), untold) for _ in range(count)]


def on_disk() -> dict[str, object]:
    return tomllib.loads(settings_file().read_text(encoding="utf-8"))


def test_settings_are_remembered_and_broken_ones_are_not_fatal(window: Workbench) -> None:
    window.view.set_speed_unit("mph")
    window.resize(1100, 700)
    window.close()
    kept = settings.load()
    assert (kept.speed_unit, kept.width, kept.height) == ("mph", 1100, 700)
    for broken in ("= [", 'speed_unit = 7\nwidth = "x"\nrecent = 5', "width = -1\nheight = 999999999", "recent = [1]"):
        settings_file().write_text(broken)
        found = settings.load()
        assert found.speed_unit == "km/h"
        assert 640 <= found.width <= 10000
        assert found.recent == ()
        # A change is written all the same.
        Remembered(found, untold).keep(partial(replace, paper="Letter"))
        assert settings.load().paper == "Letter"
    settings_file().write_bytes(b"\xff\xfe")
    assert settings.load() == Settings()


def test_recent_files_are_ten_and_the_newest_first() -> None:
    kept = Settings()
    for number in range(12):
        kept = kept.with_recent(Path(f"/bikes/{number}"))
    kept = kept.with_recent(Path("/bikes/5"))
    assert len(kept.recent) == 10
    assert kept.recent[:2] == ("/bikes/5", "/bikes/11")
    assert kept.with_recent(Path(os.fsdecode(b"/bikes/\xff"))) == kept


def test_each_change_is_on_the_disk_at_once_and_takes_nothing_of_the_others_away() -> None:
    first, second = windows(2)
    first.keep(partial(replace, shop_name="Tillwater Motorcycles", shop_logo="/logo.png"))
    second.keep(lambda now: now.with_recent(Path("/bikes/b")))
    first.keep(lambda now: now.with_recent(Path("/bikes/a")))
    second.keep(partial(replace, appearance="dark"))
    first.keep(partial(replace, width=1000))
    found = settings.load()
    assert found == Settings(
        shop_name="Tillwater Motorcycles",
        shop_logo="/logo.png",
        recent=("/bikes/a", "/bikes/b"),
        appearance="dark",
        width=1000,
    )
    # What the shop is called is shared; how a window looks is its own.
    assert second.look().shop_name == "Tillwater Motorcycles"
    assert first.look().appearance == "system"


def test_only_what_changed_is_written_and_a_newer_versions_settings_stay() -> None:
    settings_file().parent.mkdir(parents=True)
    settings_file().write_text('colour_of_the_rail = "green"\nwidth = 1000\n')
    (known,) = windows(1)
    known.keep(partial(replace, paper="Letter"))
    assert on_disk() == {"colour_of_the_rail": "green", "width": 1000, "paper": "Letter"}


def test_windows_that_write_at_the_same_moment_lose_nothing() -> None:
    files = [[Path(f"/bikes/{name}{number}") for number in range(2)] for name in "abcde"]
    together = threading.Barrier(len(files))

    def work(known: Remembered, own: list[Path]) -> None:
        together.wait()
        for path in own:
            known.keep(partial(Settings.with_recent, path=path))

    threads = [threading.Thread(target=work, args=pair) for pair in zip(windows(len(files)), files, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(settings.load().recent) == {str(path) for own in files for path in own}


def test_a_window_that_stopped_while_it_wrote_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(settings, "_PATIENCE", 0.05)
    (known,) = windows(1)
    known.keep(partial(replace, paper="Letter"))
    with settings_file().with_suffix(".lock").open("ab") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        known.keep(partial(replace, appearance="dark"))
    assert (settings.load().paper, settings.load().appearance) == ("Letter", "dark")


def test_settings_that_cannot_be_kept_are_told_once_and_hold_in_this_window(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", "/proc/nowhere")
    told: list[str] = []
    known = Remembered(Settings(), told.append)
    known.keep(lambda now: now.with_recent(Path("/bikes/a")), quietly=True)
    assert told == []
    known.keep(partial(replace, paper="Letter"))
    known.keep(partial(replace, appearance="dark"))
    assert len(told) == 1
    assert "/proc/nowhere/gearplan/settings.toml" in told[0]
    assert (known.look().paper, known.now.appearance, known.now.recent) == ("Letter", "dark", ("/bikes/a",))


def test_units_appearance_and_what_is_to_be_timed_need_no_closing(window: Workbench, qtbot: QtBot) -> None:
    window.view.set_speed_unit("mph")
    qtbot.waitUntil(lambda: settings.load().speed_unit == "mph")
    window.show_page("Pull")
    field = window.pull_page.findChild(QLineEdit, "sprints")
    assert field is not None
    field.setFocus()
    field.selectAll()
    qtbot.keyClicks(field, "0-60")
    qtbot.waitUntil(lambda: settings.load().sprints == "0-60")
    qtbot.keyClick(window, Qt.Key.Key_Plus, Qt.KeyboardModifier.ControlModifier)
    assert settings.load().text_size == 1.25
    qtbot.keyClick(window, Qt.Key.Key_Minus, Qt.KeyboardModifier.ControlModifier)
