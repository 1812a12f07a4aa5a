"""From a new bike to whether its chain fits, by keyboard; and the same bike measured more and more, surer each time."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtWidgets import QApplication, QLineEdit
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import read_bike
from gearplan.bike.profile import Chassis
from gearplan.commands.output.numbersjson import numbers
from gearplan.drive.chain import chainrun
from gearplan.window.frame.workbench import Workbench
from gearplan.window.newbike.page import NewBikePage
from tests.window.newbike.test_new_bike_page import KEY, enter, page

__all__ = ["page"]

#: How the motorcycle really is: sprocket before and above the pivot (m), the arm's angle, slack, and a chain 0.1 %
#: longer than new on 15/46; its axle 14 mm before the adjuster's rear end.
FORWARD, UP, ANGLE, SLACK, WORN = 0.062, 0.013, 0.14835, 0.030, 0.001
PITCH = 0.015875


def stands(front: int, worn: float) -> float:
    """Pivot to axle (mm) with 112 links."""
    centre = float(chainrun.centre_for_links(112, front, 46, PITCH, SLACK)) * (1 + worn)
    return 1e3 * float(chainrun.axle_at_centre_distance(centre, ANGLE, FORWARD, UP))


def answer(window: Workbench) -> tuple[float, float, float]:
    """How far the axle goes (mm), and the ends of its range."""
    told = numbers(window.document.bike, window.document.chosen)["proposed"]
    assert told["verdict"] == "fits"
    return (told["axle_moves_mm"], *told["doubt"]["axle_moves_mm"])


def test_the_same_bike_measured_more_says_the_same_surer(
    window: Workbench, page: NewBikePage, qtbot: QtBot, tmp_path: Path
) -> None:
    enter(qtbot)
    # What to read next stands beside the verdict, and a press leads to its field.
    window.bar.next.click()
    QApplication.processEvents()
    assert window.in_sight == "Bike"
    for part, typed in enumerate(("22", "14")):
        field = QApplication.focusWidget()
        assert isinstance(field, QLineEdit)
        assert field.property("measured") == f"chassis.adjuster_left_mm.{part}"
        qtbot.keyClicks(field, typed)
        qtbot.keyClick(field, KEY.Key_Tab)
    window.document.propose(replace(window.document.chosen, front=14), "Front")
    QApplication.processEvents()
    truth = stands(14, 0.0) - stands(15, WORN)
    said = re.search(r"112 links fit: the axle goes (\d+) ± (\d+) mm back, of 14 mm", window.bar.verdict.reasons.text())
    assert said is not None, window.bar.verdict.reasons.text()
    assert float(said[1]) - float(said[2]) <= truth <= float(said[1]) + float(said[2]) + 0.5
    answers = [answer(window)]

    window.document.save(tmp_path / "mine.bike.toml")
    window.document.set_value("final_drive", "elongation_percent", 0.1, "Wear")
    answers.append(answer(window))
    bike, now = window.document.bike, stands(15, WORN)
    measured = Chassis(
        sprocket_from_pivot_mm=(1e3 * FORWARD, 1e3 * UP),
        axle_range_mm=(round(now - 22), round(now + 14)),
        axle_now_mm=round(now),
        swingarm_angle_deg=8.5,
        slack_mm=1e3 * SLACK,
        adjuster_left_mm=bike.chassis.adjuster_left_mm,
    )
    window.document.edit("Measured", replace(bike, chassis=measured))
    answers.append(answer(window))
    window.document.save(tmp_path / "mine.bike.toml")
    assert read_bike(tmp_path / "mine.bike.toml").bike == window.document.bike
    for moves, low, high in answers:
        assert low <= truth <= high
        assert moves == pytest.approx(truth, abs=3.0)
    widths = [high - low for _, low, high in answers]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.5 * widths[0]
    # Nothing measured contradicts another.
    told = numbers(window.document.bike, window.document.chosen)["proposed"]
    assert told["fit_basis"] == "swingarm"
    assert not [f for f in told["findings"] if f["about"] in ("chain as fitted", "where the axle stands")]
