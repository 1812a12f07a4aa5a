"""What the customer reads from afar: nothing in smaller type than can be read, and something goes before it shrinks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter

from gearplan.bike.demo import demo_bike
from gearplan.plan.customer.page import Asked, Customer, customer
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.plan.words import Speed
from gearplan.sheet import flow
from gearplan.sheet.appearance import DARK
from gearplan.sheet.customer import parts, pictures
from gearplan.sheet.customer.arranging import Arrangement, arranged
from gearplan.sheet.customer.parts import Heads, Names, Rows, Signed
from gearplan.sheet.customer.rows import Row
from gearplan.sheet.distance import readable

BIKE = demo_bike().bike
ON = fitted(BIKE)
#: Pixels across and down, and millimetres across.
SCREENS = [(1280, 800, 286), (1920, 1080, 531), (2560, 1440, 597), (3840, 2160, 700)]
pytestmark = pytest.mark.usefixtures("qapp")


def page(chosen: DriveSet) -> Customer:
    return customer(BIKE, chosen, Asked(Speed(120.0), Speed(120.0)))


def compared() -> tuple[Row, ...]:
    sets = [replace(ON, front=14), replace(ON, front=16), replace(ON, front=16, rear=43), replace(ON, front=13)]
    return tuple(Row(f"Set {letter}", page(one), False) for letter, one in zip("ABCD", sets, strict=True))


def written(
    shown: Arrangement, wide: float, high: float, monkeypatch: pytest.MonkeyPatch
) -> list[tuple[str, int, QRectF]]:
    """Every text that is painted, with its size of type and its place."""
    found: list[tuple[str, int, QRectF]] = []

    def note(_painter: QPainter, box: QRectF, words: str, size: int, *_args: object, **_more: object) -> None:
        found.append((words, size, box))

    for module in (flow, parts, pictures):
        monkeypatch.setattr(module, "text", note)
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    shown.paint(painter, QRectF(0, 0, wide, high), DARK)
    painter.end()
    return found


@pytest.mark.parametrize(("across", "down", "wide"), SCREENS)
@pytest.mark.parametrize("teeth", [(16, 43), (13, 52), (15, 46), (14, 46)])
@pytest.mark.parametrize("rows", [False, True])
def test_nothing_is_written_smaller_than_can_be_read_from_two_metres(
    across: int, down: int, wide: int, teeth: tuple[int, int], rows: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    least = readable(2.0, across, wide)
    room = across - 50.0, down - 140.0
    shown = arranged(page(replace(ON, front=teeth[0], rear=teeth[1])), compared() if rows else (), least, *room)
    texts = written(shown, *room, monkeypatch)
    assert texts
    assert shown.fits
    for words, size, box in texts:
        assert size >= least, words
        assert box.top() >= -1
        assert box.bottom() <= room[1] + 1, words


def test_the_least_change_goes_before_the_type_shrinks() -> None:
    content = page(replace(ON, front=16, rear=43))
    counts = []
    for high in range(200, 1000, 20):
        shown = arranged(content, (), 50, 1200.0, float(high))
        assert shown.size >= 50
        heads = [one for one in shown.parts if isinstance(one, Heads)]
        counts.append(len(heads[0].heads) if heads else 0)
        if heads:
            assert [one.about for one, _ in heads[0].heads] == ["pull", "engine", "top speed"][: counts[-1]]
    assert counts == sorted(counts)
    assert set(counts) >= {0, 2, 3}


def test_what_is_amiss_is_shown_however_small_the_place_is() -> None:
    content = page(replace(ON, front=16, rear=43))
    shown = arranged(content, (), 50, 900.0, 10.0)
    assert not shown.fits
    assert [one.words for one in shown.parts if isinstance(one, Signed) and one.band] == list(content.amiss)
    refused = arranged(page(replace(ON, front=13, rear=52)), (), 50, 900.0, 10.0)
    [head] = [one for one in refused.parts if isinstance(one, Signed)]
    assert head.level == "does not fit"


def test_without_anything_amiss_there_is_no_band() -> None:
    shown = arranged(page(ON), (), 50, 1200.0, 700.0)
    assert not any(isinstance(one, Signed) and one.band for one in shown.parts)


def test_sets_stand_below_one_another_on_one_scale() -> None:
    rows = compared()
    shown = arranged(page(ON), rows, 50, 2000.0, 1200.0)
    [table] = [one for one in shown.parts if isinstance(one, Rows)]
    assert table.rows == rows
    assert isinstance(shown.parts[0], Names)


def test_where_rows_have_no_room_the_shown_set_s_figures_stand() -> None:
    shown = arranged(page(replace(ON, front=16, rear=43)), compared(), 50, 1100.0, 520.0)
    assert not any(isinstance(one, Rows) for one in shown.parts)
    assert any(isinstance(one, Heads) for one in shown.parts)


def test_prices_stand_in_a_column_of_their_own_where_there_are_any() -> None:
    rows = tuple(replace(one, price="21.50") for one in compared())
    for given, priced in ((rows, True), (compared(), False)):
        [table] = [one for one in arranged(page(ON), given, 50, 2400.0, 1200.0).parts if isinstance(one, Rows)]
        assert (table._prices_wide(50) > 0) == priced
