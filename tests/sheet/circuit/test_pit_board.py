"""The pit board can be read from three metres, and loses no corner; the circuit's page loses no warning."""

from __future__ import annotations

import struct
from dataclasses import replace
from pathlib import Path
from typing import Any

import pypdf
import pytest

from gearplan.bike import library
from gearplan.bike.circuit import Circuit, Section
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.circuitfile import demo_circuit
from gearplan.bike.text.units import KMH
from gearplan.plan.driveset import fitted
from gearplan.plan.laps.ranking import LapRanking, rank_laps
from gearplan.plan.laps.view import LapView, lap_view, set_ranking
from gearplan.sheet import painter
from gearplan.sheet.circuit.content import circuit_sheet
from gearplan.sheet.circuit.pitboard import pit_board

pytestmark = pytest.mark.usefixtures("qapp")

BIKE = demo_bike().bike
CIRCUIT = demo_circuit().circuit
SET = fitted(BIKE)


def lap_of(circuit: Circuit) -> LapView:
    found = lap_view(BIKE, SET, circuit)
    assert isinstance(found, LapView)
    return found


def cap_height() -> float:
    """Capital height of the family over its size, from the font's own tables (OpenType: OS/2 sCapHeight, head)."""
    data = library.resource("fonts", "Lato-Bold.ttf").read_bytes()
    (count,) = struct.unpack_from(">H", data, 4)
    where = {data[12 + 16 * k : 16 + 16 * k]: struct.unpack_from(">I", data, 20 + 16 * k)[0] for k in range(count)}
    (units,) = struct.unpack_from(">H", data, where[b"head"] + 18)
    (high,) = struct.unpack_from(">h", data, where[b"OS/2"] + 88)
    return float(high / units)


def texts(page: pypdf.PageObject) -> list[tuple[str, float]]:
    """Each text of a page with the size of its type in points."""
    found = []

    def take(text: str, cm: Any, tm: Any, _font: Any, size: float) -> None:
        if text.strip():
            found.append((text.strip(), abs(size * tm[3] * cm[3])))

    page.extract_text(visitor_text=take)
    return found


def test_a_corner_is_named_where_its_name_is_more_than_its_number() -> None:
    names = iter(["Turn 1", "Turn 2", "The Dip", "Turn 3"])
    sections = tuple(
        replace(s, note=next(names, "")) if s.kind == "corner" else replace(s, note="") for s in CIRCUIT.sections
    )
    assert "Corners: 3: The Dip; 4: Turn 3. " in pit_board(BIKE, SET, lap_of(replace(CIRCUIT, sections=sections))).small


def test_what_the_rider_reads_is_as_high_as_three_metres_ask(tmp_path: Path) -> None:
    board = pit_board(BIKE, SET, lap_of(CIRCUIT))
    painter.save_pit_board(board, tmp_path / "b.pdf")
    (page,) = pypdf.PdfReader(tmp_path / "b.pdf").pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == (595, 842)
    sizes = texts(page)
    wanted = [board.set, board.last, *board.end, *(part for corner in board.corners for part in corner)]
    for words in wanted:
        size = max((size for text, size in sizes if text == words), default=0.0)
        # 16 minutes of arc at 3 m are 14 mm (ISO 9241-303, from memory).
        assert size * cap_height() * 25.4 / 72 >= 13.95, words


@pytest.mark.parametrize("name", library.demo_circuits())
def test_the_board_says_what_the_lap_says(name: str) -> None:
    lap = lap_of(demo_circuit(name).circuit)
    board = pit_board(BIKE, SET, lap)
    assert [(gear, rpm) for _, gear, rpm in board.corners] == [
        (str(use.gear), f"{use.rpm / 1000:.1f}") for use in lap.row.apex
    ]
    assert len(board.marks) == lap.row.up_shifts
    fastest = max((*lap.row.straight, *lap.row.apex), key=lambda use: use.speed)
    assert board.end == (str(fastest.gear), f"{fastest.rpm / 1000:.1f}")
    assert board.last == f"{(BIKE.engine.limiter_rpm or 0) / 1000:.1f}"


@pytest.mark.parametrize("corners", [1, 9, 17, 40])
def test_every_corner_is_on_some_page(corners: int, tmp_path: Path) -> None:
    pieces = (Section("straight", 150.0), Section("corner", 40.0, apex_kmh=80.0, turn_deg=360.0 / corners))
    board = pit_board(BIKE, SET, lap_of(Circuit("x", pieces * corners)))
    painter.save_pit_board(board, tmp_path / "b.pdf")
    pages = pypdf.PdfReader(tmp_path / "b.pdf").pages
    big = [text for page in pages for text, size in texts(page) if size > 30]
    assert all(str(number) in big for number in range(1, corners + 1))
    assert len(pages) == 1 + (corners > 10) + (corners > 24)


def test_the_circuits_page_holds_every_warning_and_every_gear_pair(tmp_path: Path) -> None:
    own = tuple(gear for gear in BIKE.gearbox.gears or () if gear is not None)
    options = tuple((gear, (19, 28)) if k == 2 else (gear,) for k, gear in enumerate(own))
    one = set_ranking(BIKE, SET, CIRCUIT, lap_of(CIRCUIT).ranking.rules)
    assert isinstance(one, LapRanking)
    ranking = rank_laps(BIKE, CIRCUIT, one.sets.found.space, alternatives=options)
    assert isinstance(ranking, LapRanking)
    notes = tuple(f"Warning {n}: " + "this is what it says and it goes on for a while " * 4 for n in range(8))
    told = replace(ranking, notes=notes)
    sheet = circuit_sheet(BIKE, SET, CIRCUIT, lap_of(CIRCUIT), told, None, told.best(), unit=KMH, unit_name="km/h")
    painter.save_circuit_page(sheet, tmp_path / "c.pdf")
    text = " ".join(pypdf.PdfReader(tmp_path / "c.pdf").pages[0].extract_text().split())
    assert "gear 3 19/28" in text
    for note in notes:
        assert " ".join(note.split()) in text
