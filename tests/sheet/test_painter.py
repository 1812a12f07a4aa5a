"""Pictures of the speed chart: right format, right words, embedded type, and a refusal instead of a broken file."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PySide6.QtGui import QColor, QImage
from PySide6.QtWidgets import QApplication

from gearplan.bike.demo import demo_bike
from gearplan.bike.library import demo_bikes
from gearplan.bike.profile import Bike, with_value
from gearplan.commands.output.numbersjson import numbers
from gearplan.commands.output.numberstext import numbers_text
from gearplan.plan.driveset import fitted
from gearplan.sheet import painter
from gearplan.sheet.axes import round_step, up_to
from gearplan.sheet.content import speed_sheet

BIKE = demo_bike().bike
SHORTER = replace(fitted(BIKE), front=14)


@pytest.mark.parametrize("name", demo_bikes())
def test_png(qapp: QApplication, tmp_path: Path, name: str) -> None:
    bike = demo_bike(name).bike
    painter.save_speed_picture(bike, fitted(bike), tmp_path / "x.png")
    image = QImage(str(tmp_path / "x.png"))
    assert (image.width(), image.height()) == (2240, 1584)
    assert image.pixelColor(2, 2) == QColor("white")
    colours = {image.pixel(x, y) for x in range(0, 2240, 7) for y in range(240, 1200, 7)}
    assert len(colours) > 20


def test_pdf_holds_the_numbers_and_the_type(qapp: QApplication, tmp_path: Path) -> None:
    painter.save_speed_picture(BIKE, SHORTER, tmp_path / "x.pdf")
    page = pypdf.PdfReader(tmp_path / "x.pdf").pages[0]
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((842, 595), abs=0.6)
    text = " ".join(page.extract_text().split())
    answer = numbers(BIKE, SHORTER)
    for speed in (*answer["fitted"]["speed_at_redline_kmh"], *answer["proposed"]["speed_at_redline_kmh"]):
        assert f"{speed:.0f}" in text
    for rpm in answer["proposed"]["rpm_at_100_kmh"]:
        assert (f"{rpm:.0f}" in text) == (rpm <= BIKE.engine.limiter_rpm)
    for words in ("Brindle 650", "14/46", "caution", "redline", "Road speed, km/h", "obey limits"):
        assert words in text
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]  # type: ignore[index]
    assert fonts
    for font in fonts:
        described = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        assert "Lato" in described["/FontName"]
        assert any(key in described for key in ("/FontFile2", "/FontFile3"))


def test_svg_is_well_formed_and_scales(qapp: QApplication, tmp_path: Path) -> None:
    painter.save_speed_picture(BIKE, SHORTER, tmp_path / "x.svg", mph=True)
    root = ET.parse(tmp_path / "x.svg").getroot()
    assert root.attrib["viewBox"] == "0 0 1120 792"
    words = " ".join("".join(node.itertext()) for node in root.iter())
    assert "Road speed, mph" in words


def test_another_ending_is_refused(qapp: QApplication, tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"\.png, \.svg or \.pdf"):
        painter.save_speed_picture(BIKE, SHORTER, tmp_path / "x.jpg")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("bike", [Bike(), with_value(BIKE, "engine", "redline_rpm", None)], ids=["empty", "no redline"])
def test_a_bike_without_speeds_names_what_is_missing(qapp: QApplication, tmp_path: Path, bike: Bike) -> None:
    with pytest.raises(ValueError, match="redline_rpm"):
        painter.save_speed_picture(bike, fitted(bike), tmp_path / "x.png")


def test_long_names_and_many_findings_are_drawn(qapp: QApplication, tmp_path: Path) -> None:
    bike = replace(with_value(BIKE, "chassis", "slack_mm", None), name="W" * 200)
    painter.save_speed_picture(bike, replace(SHORTER, front=12), tmp_path / "x.png")
    assert (tmp_path / "x.png").stat().st_size > 10_000


@pytest.mark.parametrize(
    ("length", "most", "step"), [(240, 12, 20), (12000, 10, 2000), (7, 12, 1), (100, 10, 10), (101, 10, 20)]
)
def test_round_steps(length: float, most: int, step: float) -> None:
    assert round_step(length, most) == step
    assert up_to(length, step) >= length


def test_an_engine_speed_beyond_the_limiter_is_told_neither_on_paper_nor_in_text() -> None:
    """At 100 km/h first gear would need 11225 rpm; the limiter stands at 10800."""
    drawn = speed_sheet(BIKE, SHORTER, mph=False)
    assert [row[5] for row in drawn.rows][:2] == ["over limiter", "8550"]
    text = numbers_text(BIKE, SHORTER)
    assert "over limiter" in text
    assert "11225" not in text
