"""Colours and shapes: readable in light and dark, and never colour alone."""

from __future__ import annotations

import itertools
from dataclasses import replace
from functools import partial

import pyqtgraph as pg
import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QGuiApplication, QImage, QPainter
from PySide6.QtWidgets import QApplication, QStyle, QStyleOptionSlider

from gearplan.plan.findings import LEVELS, Level
from gearplan.sheet.appearance import CONTRAST_DARK, CONTRAST_LIGHT, DARK, LIGHT, Theme
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.shapes import paint_verdict
from tests.window.contrast import contrast


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
def test_text_has_enough_contrast(look: Theme) -> None:
    for ground in (look.window, look.surface, look.raised, look.selected):
        assert contrast(look.text, ground) >= 4.5
    for colour in (look.quiet, look.fits, look.check, look.refuse, look.accent):
        assert contrast(colour, look.surface) >= 4.5, colour
    assert contrast(look.quiet, look.window) >= 4.5
    assert contrast(look.quiet, look.selected) >= 4.5
    assert contrast(look.on_accent, look.accent) >= 4.5
    # What can be pressed, what bears a meaning as a line, and where the keyboard is (WCAG 2.2, 1.4.11 and 2.4.13).
    for ground in (look.window, look.surface, look.raised, look.selected):
        for colour in (look.edge, look.accent, look.quiet, look.fits, look.check, look.refuse):
            assert contrast(colour, ground) >= 3, (colour, ground)


@pytest.mark.parametrize("look", [CONTRAST_LIGHT, CONTRAST_DARK], ids=["light", "dark"])
def test_high_contrast_has_seven_to_one_for_all_that_is_read_or_found(look: Theme) -> None:
    """WCAG 2.2, 1.4.6."""
    for ground in (look.window, look.surface, look.raised, look.selected):
        for colour in (look.text, look.quiet, look.edge, look.fits, look.check, look.refuse, look.accent):
            assert contrast(colour, ground) >= 7, (colour, ground)
    assert contrast(look.on_accent, look.accent) >= 7
    assert contrast(look.line, look.surface) >= 7
    colours = [look.gear(i, 6) for i in range(6)]
    assert all(contrast(colour, look.surface) >= 7 for colour in colours)


def test_handle_and_groove_of_a_slider_are_seen(window: Workbench, qapp: QApplication) -> None:
    slider = window.bar.sliders["front"]
    for look in (LIGHT, DARK, CONTRAST_LIGHT, CONTRAST_DARK):
        theme.apply(qapp, look)
        picture = slider.grab().toImage()
        option = QStyleOptionSlider()
        slider.initStyleOption(option)
        part = QStyle.SubControl.SC_SliderHandle
        handle = slider.style().subControlRect(QStyle.ComplexControl.CC_Slider, option, part, slider)
        at = handle.center()
        seen = {picture.pixelColor(x, at.y()).name() for x in range(handle.left() + 1, handle.right())}
        assert max(contrast(colour, look.surface) for colour in seen) >= 3, look
    theme.apply(qapp, LIGHT)


def test_the_appearance_follows_the_desktop_while_it_runs(
    window: Workbench, qapp: QApplication, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The offscreen desktop has no scheme of its own: what it says is put in its place, and that it has changed."""
    hints = QGuiApplication.styleHints()
    hints.colorSchemeChanged.connect(window.dress)
    window.remembered.keep(partial(replace, appearance="system"))
    for scheme, look in ((Qt.ColorScheme.Dark, DARK), (Qt.ColorScheme.Light, LIGHT)):
        monkeypatch.setattr(theme, "desktop_scheme", lambda scheme=scheme: scheme)
        hints.colorSchemeChanged.emit(scheme)
        assert theme.current() is look
    monkeypatch.setattr(theme, "desktop_wants_contrast", lambda: True)
    window.dress()
    assert theme.current() is CONTRAST_LIGHT
    monkeypatch.undo()
    window.dress()
    assert theme.current() is LIGHT


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
def test_gear_lines_stand_out_and_are_in_order(look: Theme) -> None:
    colours = [look.gear(i, 6) for i in range(6)]
    assert all(contrast(colour, look.surface) >= 3 for colour in colours)
    from_black = [contrast(colour, "#000000") for colour in colours]
    assert from_black == sorted(from_black)
    assert look.gear(0, 1) == look.gear(0, 6)


def test_the_ramp_is_the_published_one(qapp: QApplication) -> None:
    """cividis as pyqtgraph ships it."""
    published = pg.colormap.get("cividis")
    whole = Theme(**{**{f: getattr(LIGHT, f) for f in LIGHT.__dataclass_fields__}, "ramp": (0.0, 1.0)})
    for index in range(9):
        assert whole.gear(index, 9) == published.map(index / 8, mode="qcolor").name()


def test_verdict_shapes_differ_without_colour(qapp: QApplication) -> None:
    def outline(level: Level) -> bytes:
        image = QImage(24, 24, QImage.Format.Format_Alpha8)
        image.fill(0)
        painter = QPainter(image)
        paint_verdict(painter, level, QRectF(1, 1, 22, 22))
        painter.end()
        return bytes(image.constBits())

    shapes = [outline(level) for level in LEVELS]
    for one, other in itertools.combinations(shapes, 2):
        assert sum(abs(a - b) > 128 for a, b in zip(one, other, strict=True)) > 20


def test_the_appearance_can_be_changed_while_it_runs(window: Workbench, qapp: QApplication) -> None:
    for choice, look in (("dark", DARK), ("contrast", CONTRAST_LIGHT), ("light", LIGHT)):
        action = next(a for a in window.findChildren(type(window.undo_action)) if a.data() == choice)
        action.trigger()
        assert theme.current() is look
        assert window.remembered.now.appearance == choice
        picture = window.grab().toImage()
        assert picture.pixelColor(3, picture.height() - 3).name() == look.window


def test_the_shipped_type_is_used_and_has_figures_of_one_width(qapp: QApplication) -> None:
    from PySide6.QtGui import QFontInfo, QFontMetricsF

    for bold in (False, True):
        font = theme.font(theme.BODY, bold=bold)
        assert QFontInfo(font).family() == theme.FAMILY
        metrics = QFontMetricsF(font)
        assert len({metrics.horizontalAdvance(figure) for figure in "0123456789"}) == 1
