"""The short list as a picture: places, names that do not cover one another, and a click that proposes."""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.plan.choices.search import search
from gearplan.plan.choices.space import Space
from gearplan.plan.driveset import fitted
from gearplan.window.choices.overview import ChoicePicture
from gearplan.window.kit import theme


@pytest.fixture
def picture(qapp: QApplication) -> ChoicePicture:
    theme.apply(qapp, theme.LIGHT)
    made = ChoicePicture()
    bike = demo_bike().bike
    space = Space(tuple(range(13, 19)), tuple(range(38, 52)), (None,))
    made.show_choices(search(bike, (), space).ranked, fitted(bike))
    made.resize(900, 400)
    made.show()
    return made


def test_calmer_stands_left_and_more_parts_lower(picture: ChoicePicture) -> None:
    placed = list(picture.places())
    assert len(placed) > 2
    for (one, at), (other, there) in itertools.permutations(placed, 2):
        assert one.revs is not None
        assert other.revs is not None
        if one.revs < other.revs:
            assert at.x() < there.x()
        if len(one.new_parts) < len(other.new_parts):
            assert at.y() < there.y()
    assert all(0 < at.x() < picture.width() and 0 < at.y() < picture.height() for _, at in placed)


def test_a_click_proposes_the_set_under_it(picture: ChoicePicture, qtbot: QtBot) -> None:
    told: list[Any] = []
    picture.proposed.connect(told.append)
    choice, at = list(picture.places())[-1]
    qtbot.mouseClick(picture, Qt.MouseButton.LeftButton, pos=at.toPoint())
    assert told == [choice.set]
    qtbot.mouseClick(picture, Qt.MouseButton.LeftButton, pos=picture.rect().bottomRight())
    assert told == [choice.set]
