"""The sketches: each dimension lights up by itself, in light and dark, and every text has its room."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.bike.measuring import measured_fields, measuring
from gearplan.bike.profile import entry
from gearplan.setup.ways import WAYS
from gearplan.sheet.appearance import DARK, LIGHT, Theme
from gearplan.window.kit import theme
from gearplan.window.measuring.sketches import SKETCHES
from gearplan.window.measuring.sketchview import SketchView


def lit() -> list[tuple[str, str]]:
    """Every sketch with each field, half of one, or reading of another way, that lights up in it."""
    found = []
    for field in measured_fields():
        section, key = field.split(".")
        told = measuring(section, key)
        assert told is not None
        parts = entry(section, key).parts
        found += [(told.sketch, f"{field}.{half}") for half in (0, 1)] if any(parts) else [(told.sketch, field)]
    return found + [(way.sketch, reading.key) for way in WAYS for reading in way.readings]


@pytest.fixture
def view(qapp: QApplication, qtbot: QtBot) -> Iterator[SketchView]:
    made = SketchView()
    qtbot.addWidget(made)
    yield made
    theme.set_scale(1.0)
    theme.apply(qapp, LIGHT)


def accent_pixels(view: SketchView) -> int:
    """How many pixels have the colour of a lit dimension, or nearly."""
    return int(np.count_nonzero(accented(view.grab().toImage())))


def accented(image: QImage) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """Which pixels have the accent's colour, or nearly."""
    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    bits = np.frombuffer(plain.constBits(), np.uint8).reshape(plain.height(), -1, 4)[:, : plain.width(), :3]
    accent = QColor(theme.current().accent)
    off = np.abs(bits.astype(int) - [accent.blue(), accent.green(), accent.red()]).sum(axis=2)
    return np.asarray(off < 90)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
def test_a_dimension_lights_up(qapp: QApplication, view: SketchView, look: Theme) -> None:
    theme.apply(qapp, look)
    view.resize(view.minimumSizeHint())
    for sketch, field in lit():
        view.show_sketch(sketch, "", "", "")
        assert accent_pixels(view) == 0, sketch
        view.show_sketch(sketch, field, "", "")
        assert accent_pixels(view) > 20, (sketch, field)


def test_the_halves_of_a_pair_light_up_by_themselves(view: SketchView) -> None:
    view.resize(400, 300)
    for sketch, field in lit():
        if field.endswith(".0"):
            pictures = []
            for half in ("0", "1"):
                view.show_sketch(sketch, field[:-1] + half, "", "")
                pictures.append(view.grab().toImage())
            assert pictures[0] != pictures[1], field


@pytest.mark.parametrize("share", [0.8, 1.0, 1.5, 2.5])
def test_every_text_of_every_sketch_has_room(qapp: QApplication, view: SketchView, share: float) -> None:
    theme.set_scale(share)
    theme.apply(qapp, LIGHT)
    least = view.minimumSizeHint()
    for size in (least, least * 1.6):
        view.resize(size)
        for sketch, field in lit():
            view.show_sketch(sketch, field, "", "")
            assert view.unseen() == [], (sketch, field, size)


def test_a_text_without_room_is_found(view: SketchView) -> None:
    view.resize(70, 50)
    view.show_sketch("wheelbase", "chassis.wheelbase_mm", "", "")
    assert view.unseen() == ["wheelbase"]


def test_what_was_measured_is_drawn_in_its_place(view: SketchView) -> None:
    """The wheelbase's line runs from axle to axle: its ends lie below the middles of the wheels."""
    sketch = SKETCHES["wheelbase"]
    view.resize(1200, 800)
    view.show_sketch("wheelbase", "chassis.wheelbase_mm", "", "")
    columns = np.flatnonzero(accented(view.grab().toImage()).any(axis=0))
    left, low, right, high = sketch.box
    scale = min((1200 - 12) / (right - left), (800 - 12) / (high - low))
    assert columns.max() - columns.min() == pytest.approx(1415 * scale, abs=4)
