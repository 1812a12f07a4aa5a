"""Paints drawings to PNG, SVG and PDF, always light: the door through which anything is drawn without the window."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QBuffer, QIODevice, QMarginsF, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import (
    QFontDatabase,
    QGuiApplication,
    QImage,
    QPagedPaintDevice,
    QPageSize,
    QPainter,
    QPdfWriter,
)
from PySide6.QtSvg import QSvgGenerator

from gearplan.bike.files.atomic import replace_file
from gearplan.bike.library import resource
from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.sheet import chaindrawing, speeddrawing
from gearplan.sheet.appearance import FAMILY
from gearplan.sheet.circuit import drawing as circuitdrawing
from gearplan.sheet.circuit import pitdrawing
from gearplan.sheet.circuit.content import CircuitSheet
from gearplan.sheet.circuit.pitboard import PitBoard
from gearplan.sheet.content import chain_sheet, speed_sheet
from gearplan.sheet.customer import drawing as customerdrawing
from gearplan.sheet.customer.content import CustomerSheet
from gearplan.sheet.fitting import drawing as fittingdrawing
from gearplan.sheet.fitting.content import FittingSheet, LabelSheet
from gearplan.sheet.fitting.extras import draw_label
from gearplan.sheet.letterhead import read_logo
from gearplan.sheet.quote import drawing as quotedrawing
from gearplan.sheet.quote.content import QuoteSheet
from gearplan.sheet.session import drawing as sessiondrawing
from gearplan.sheet.session.content import SessionSheet
from gearplan.sheet.shop import LABEL, PAPERS

#: The drawing's own size; everything is placed in these units.
_WIDTH, _HEIGHT = 1120.0, 792.0
#: A sheet for paper is drawn in the pixels of a screen of 96 to the inch, a point is a 72nd of it.
_TO_PIXELS = 96 / 72

Paint = Callable[[QPainter, QRectF], None]


@dataclass(frozen=True)
class Drawing:
    """What is to be painted: a sheet and how it is drawn, in units of its own; `points` is its size on paper.

    `further` paints the pages after the first; only a PDF has them. What does not `grow` is no larger than `points` on
    a larger paper.
    """

    title: str
    paint: Paint
    width: float = _WIDTH
    height: float = _HEIGHT
    points: tuple[int, int] = (842, 595)
    further: tuple[Paint, ...] = ()
    grows: bool = True

    def draw(self, painter: QPainter) -> None:
        """Paint it in the drawing's own units."""
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self.paint(painter, QRectF(0, 0, self.width, self.height))

    def draw_pages(self, device: QPagedPaintDevice) -> None:
        """Paint all pages as large as they fit onto a PDF or a printer's paper, each in its middle."""
        painter = QPainter(device)
        wide, high = device.width(), device.height()
        scale = min(wide / self.width, high / self.height)
        if not self.grows:
            scale = min(scale, self.points[0] / 72 * device.logicalDpiX() / self.width)
        painter.translate((wide - scale * self.width) / 2, (high - scale * self.height) / 2)
        painter.scale(scale, scale)
        self.draw(painter)
        for paint in self.further:
            device.newPage()
            paint(painter, QRectF(0, 0, self.width, self.height))
        painter.end()


def save_speed_picture(bike: Bike, chosen: DriveSet, target: Path, mph: bool = False) -> None:
    """Draw the speed chart of fitted and proposed set to a .png, .svg or .pdf file.

    ValueError for another ending or a bike that has no speeds yet, OSError if the file cannot be written.
    """
    _save(_speed(bike, chosen, mph), target)


def save_chain_drawing(
    bike: Bike, chosen: DriveSet, target: Path, axle: float | None = None, day: date | None = None
) -> None:
    """Draw the chain run of fitted and proposed set, to scale, to a .png, .svg or .pdf file.

    `axle` is where the axle of the proposed set stands, in m along the arm (None: at the slack asked for), `day` the
    date on the drawing (None: today).

    ValueError for another ending or a set that cannot be drawn yet, OSError if the file cannot be written.
    """
    sheet = chain_sheet(bike, chosen, day or date.today(), axle)
    _save(Drawing(sheet.title, lambda painter, size: chaindrawing.draw(painter, sheet, size)), target)


def save_circuit_page(sheet: CircuitSheet, target: Path) -> None:
    """Draw a circuit's page to a .pdf file, or to a .png or .svg picture.

    ValueError for another ending, OSError if the file cannot be written.
    """
    _save(Drawing(sheet.title, lambda painter, size: circuitdrawing.draw(painter, sheet, size)), target)


def save_pit_board(board: PitBoard, target: Path) -> None:
    """Draw the pit board, one page or more of A4, to a .pdf file, or its first page to a .png or .svg picture.

    ValueError for another ending, OSError if the file cannot be written.
    """
    _save(pit_board_drawing(board), target)


def pit_board_drawing(board: PitBoard) -> Drawing:
    """The pit board, ready to be painted to a file or a printer."""
    return _on_paper(
        tr("Pit board, {title}", title=board.title), PAPERS["A4"], lambda box: pitdrawing.pages(board, box)
    )


def save_session_sheet(sheet: SessionSheet, target: Path) -> None:
    """Draw the session sheet to a .pdf file, or to a .png or .svg picture.

    ValueError for another ending, OSError if the file cannot be written.
    """
    _save(session_drawing(sheet), target)


def session_drawing(sheet: SessionSheet) -> Drawing:
    """The session sheet, ready to be painted to a file or a printer."""
    return _on_paper(
        sheet.title,
        PAPERS[sheet.paper],
        lambda _box: [lambda painter, size: sessiondrawing.draw(painter, sheet, size)],
    )


def save_customer_page(sheet: CustomerSheet, target: Path) -> None:
    """Draw the customer's page to a .pdf file, or to a .png or .svg picture, which does not say whose motorcycle it is.

    ValueError for another ending or a logo that is no picture, OSError if the file cannot be written.
    """
    _save(customer_drawing(_for(target, sheet)), target)


def customer_image(sheet: CustomerSheet) -> QImage:
    """The customer's page in memory, without whose motorcycle it is; ValueError for a logo that is no picture."""
    return _image(customer_drawing(_nobodys(sheet)))


def customer_drawing(sheet: CustomerSheet) -> Drawing:
    """The customer's page, ready to be painted to a file or a printer; ValueError for a logo that is no picture."""
    _application()
    logo = read_logo(sheet.shop.logo)
    return _on_paper(
        f"{sheet.title}, {sheet.day}",
        PAPERS[sheet.paper],
        lambda _box: [lambda painter, size: customerdrawing.draw(painter, sheet, logo, size)],
    )


def save_quote(sheet: QuoteSheet, target: Path) -> None:
    """Draw the quote to a .pdf file, or its first page to a picture, which does not say whose motorcycle it is.

    ValueError for another ending or a logo that is no picture, OSError if the file cannot be written.
    """
    _save(quote_drawing(_for(target, sheet)), target)


def quote_drawing(sheet: QuoteSheet) -> Drawing:
    """The quote, ready to be painted to a file or a printer; ValueError for a logo that is no picture."""
    return _on_paper(
        f"{sheet.title}, {sheet.bike}",
        PAPERS[sheet.paper],
        lambda box: quotedrawing.pages(sheet, read_logo(sheet.shop.logo), box),
    )


def save_fitting_sheet(sheet: FittingSheet, target: Path) -> None:
    """Draw the fitting sheet, one to three pages, to a .pdf file.

    ValueError for another ending, OSError if the file cannot be written.
    """
    if target.suffix.lower() != ".pdf":
        raise ValueError(tr("the sheet's name must end in .pdf"))
    _save(fitting_drawing(sheet), target)


def fitting_drawing(sheet: FittingSheet) -> Drawing:
    """The fitting sheet, ready to be painted to a file or a printer."""
    return _on_paper(
        f"{sheet.bike}: {sheet.title}",
        PAPERS[sheet.paper],
        lambda box: fittingdrawing.pages(sheet, read_logo(sheet.shop.logo), box),
    )


def save_label(sheet: LabelSheet, target: Path) -> None:
    """Draw a label for bag or tank to a .pdf file, or to a picture, which does not say whose motorcycle it is.

    ValueError for another ending, OSError if the file cannot be written.
    """
    _save(label_drawing(_for(target, sheet)), target)


def label_drawing(sheet: LabelSheet) -> Drawing:
    """The label, ready to be painted to a file or a printer."""
    return _on_paper(
        sheet.bike, LABEL, lambda _box: [lambda painter, size: draw_label(painter, sheet, size)], grows=False
    )


def speed_image(bike: Bike, chosen: DriveSet, mph: bool = False) -> QImage:
    """The speed chart in memory, twice its nominal size in pixels."""
    return _image(_speed(bike, chosen, mph))


def _speed(bike: Bike, chosen: DriveSet, mph: bool) -> Drawing:
    sheet = speed_sheet(bike, chosen, mph)
    return Drawing(sheet.title, lambda painter, size: speeddrawing.draw(painter, sheet, size))


#: A sheet that may say whose motorcycle it is.
_Sheet = TypeVar("_Sheet", CustomerSheet, QuoteSheet, LabelSheet)


def says_whose(target: Path) -> bool:
    """Whether what is drawn into a file may say whose motorcycle it is: paper may, not a picture, easily passed on."""
    return target.suffix.lower() == ".pdf"


def _for(target: Path, sheet: _Sheet) -> _Sheet:
    return sheet if says_whose(target) else _nobodys(sheet)


def _on_paper(
    title: str, points: tuple[int, int], pages: Callable[[QRectF], Sequence[Paint]], *, grows: bool = True
) -> Drawing:
    """A drawing of pages of a size on paper; `pages` is asked for them once fonts are there, with the box of a page."""
    _application()
    width, height = points[0] * _TO_PIXELS, points[1] * _TO_PIXELS
    first, *further = pages(QRectF(0, 0, width, height))
    return Drawing(title, first, width, height, points, tuple(further), grows)


def _nobodys(sheet: _Sheet) -> _Sheet:
    return replace(sheet, whose="")


def _save(drawing: Drawing, target: Path) -> None:
    _application()
    make = {".png": _png, ".svg": _svg, ".pdf": _pdf}.get(target.suffix.lower())
    if make is None:
        raise ValueError(tr("the picture's name must end in .png, .svg or .pdf"))
    replace_file(target, make(drawing))


def _application() -> None:
    """Fonts need an application; on the command line there is none yet, and no display is needed."""
    if QGuiApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        _kept.append(QGuiApplication(sys.argv[:1]))
    if FAMILY not in QFontDatabase.families():
        for name in ("Lato-Regular.ttf", "Lato-Bold.ttf"):
            QFontDatabase.addApplicationFontFromData(resource("fonts", name).read_bytes())


_kept: list[QGuiApplication] = []


def _png(drawing: Drawing) -> bytes:
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    _image(drawing).save(store, "PNG")  # type: ignore[call-overload]
    return bytes(store.data().data())


def _image(drawing: Drawing) -> QImage:
    image = QImage(QSize(int(2 * drawing.width), int(2 * drawing.height)), QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    painter.scale(2, 2)
    drawing.draw(painter)
    painter.end()
    return image


def _svg(drawing: Drawing) -> bytes:
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QSvgGenerator()
    made.setOutputDevice(store)
    made.setViewBox(QRectF(0, 0, drawing.width, drawing.height))
    made.setSize(QSize(int(drawing.width), int(drawing.height)))
    made.setTitle(drawing.title)
    painter = QPainter(made)
    drawing.draw(painter)
    painter.end()
    return bytes(store.data().data())


def _pdf(drawing: Drawing) -> bytes:
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    made = QPdfWriter(store)
    # Points: Qt rounds a page to whole points, so nothing is lost.
    made.setPageSize(QPageSize(QSizeF(*drawing.points), QPageSize.Unit.Point))
    made.setPageMargins(QMarginsF(0, 0, 0, 0))
    made.setResolution(300)
    made.setTitle(drawing.title)
    drawing.draw_pages(made)
    return bytes(store.data().data())
