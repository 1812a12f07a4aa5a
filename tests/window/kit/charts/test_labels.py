"""Words in charts: whole, inside the plot, and with the curves in sight between the letters."""

from __future__ import annotations

import pyqtgraph as pg
import pytest
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme
from gearplan.window.kit.charts.labels import LineName, Name
from gearplan.window.kit.charts.plainchart import PlainChart


class Chart(PlainChart):
    def recolour(self) -> None:
        self.setBackground(theme.current().surface)


@pytest.fixture
def chart(qapp: QApplication, qtbot: QtBot) -> Chart:
    made = Chart()
    qtbot.addWidget(made)
    made.resize(300, 200)
    made.recolour()
    made.getPlotItem().setRange(xRange=(0, 10), yRange=(0, 10), padding=0)
    made.show()
    qapp.processEvents()
    return made


def box(name: pg.TextItem) -> QRectF:
    found: QRectF = name.textItem.sceneBoundingRect()
    return found.adjusted(4, 4, -4, -4)


@pytest.mark.parametrize("at", [(0, 0), (0, 10), (10, 0), (10, 10)])
def test_a_name_at_a_corner_stays_inside(chart: Chart, qapp: QApplication, at: tuple[float, float]) -> None:
    name = Name("a name", anchor=(0.5, 0.5))
    chart.addItem(name)
    name.setPos(*at)
    qapp.processEvents()
    room = chart.getPlotItem().vb.sceneBoundingRect().adjusted(-1, -1, 1, 1)
    assert room.contains(box(name))
    chart.resize(420, 260)
    chart.grab()
    assert chart.getPlotItem().vb.sceneBoundingRect().adjusted(-1, -1, 1, 1).contains(box(name))


def test_the_name_of_a_line_stays_inside(chart: Chart) -> None:
    line = pg.InfiniteLine(angle=90)
    line.label = LineName(line, "stands", position=0.99)
    chart.addItem(line)
    for value in (0.0, 5.0, 10.0):
        line.setValue(value)
        chart.grab()
        assert chart.getPlotItem().vb.sceneBoundingRect().adjusted(-1, -1, 1, 1).contains(box(line.label))


def test_a_curve_is_seen_between_the_letters(chart: Chart) -> None:
    """A filled box behind the words would hide it over their whole width."""
    chart.addItem(pg.PlotCurveItem([0, 10], [5, 5], pen=pg.mkPen("#ff0000", width=2)))
    name = Name("l     l", anchor=(0.5, 0.5))
    chart.addItem(name)
    name.setPos(5, 5)
    picture = chart.grab().toImage()
    middle = chart.mapFromScene(chart.getPlotItem().vb.mapViewToScene(QPointF(5, 5)))
    here = [picture.pixelColor(middle.x(), middle.y() + by) for by in (-1, 0, 1)]
    assert any(colour.red() > 200 and colour.green() < 120 for colour in here)
    assert QColor("#ff0000") not in [picture.pixelColor(middle.x(), middle.y() - 6)]


def test_no_name_in_any_chart_stands_on_a_filled_box(window: Workbench, qapp: QApplication) -> None:
    for page in ("Speed", "Chain", "Pull", "Circuit"):
        window.show_page(page)
        qapp.processEvents()
    window.pull_page.tabs.setCurrentIndex(3)
    names = [
        item
        for chart in window.findChildren(pg.PlotWidget)
        for item in chart.scene().items()
        if isinstance(item, pg.TextItem)
    ]
    assert len(names) > 40
    assert all(isinstance(item, Name | LineName) for item in names)
    assert all(item.fill.style() == pg.QtCore.Qt.BrushStyle.NoBrush for item in names)
