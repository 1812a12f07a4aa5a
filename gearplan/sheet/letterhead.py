"""The head of a page in the shop's look: name, address and logo. Draws with Qt."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from xml.etree import ElementTree

from PySide6.QtCore import QBuffer, QByteArray, QRectF, QSize, Qt
from PySide6.QtGui import QImageReader, QPainter
from PySide6.QtSvg import QSvgRenderer

from gearplan.language import tr
from gearplan.sheet.appearance import LIGHT, SMALL, TITLE, UNIT
from gearplan.sheet.drawing import fitting_size, line_height, text
from gearplan.sheet.shop import LogoError, Shop

LOGO_WIDTH, LOGO_HEIGHT = 200.0, 64.0
_SHARPEST = 1200
_MOST_PIXELS = 100_000_000
_KEEP = Qt.AspectRatioMode.KeepAspectRatio
_NO_PICTURE = tr("the logo is no picture that can be read; give a PNG, JPEG or SVG file")


@dataclass(frozen=True)
class Logo:
    """A logo that has been read: its size, and how it is put into a box."""

    width: float
    height: float
    paint: Callable[[QPainter, QRectF], None]


def read_logo(data: bytes) -> Logo | None:
    """A PNG, JPEG or SVG picture, None for no data; LogoError if it is none. To be done before any painting."""
    if not data:
        return None
    if data.lstrip()[:1] == b"<":
        return _vector(data)
    store = QBuffer()
    store.setData(QByteArray(data))
    reader = QImageReader(store)
    size = reader.size()
    if size.width() * size.height() > _MOST_PIXELS:
        raise LogoError(
            tr(
                "the logo has {width} × {height} pixels; a tenth of that is sharp enough",
                width=size.width(),
                height=size.height(),
            )
        )
    if max(size.width(), size.height()) > _SHARPEST:
        # The paper would not show more, only weigh more.
        reader.setScaledSize(size.scaled(QSize(_SHARPEST, _SHARPEST), _KEEP))
    image = reader.read()
    if image.isNull():
        raise LogoError(_NO_PICTURE)
    return Logo(image.width(), image.height(), lambda painter, box: painter.drawImage(box, image))


def _vector(data: bytes) -> Logo:
    try:
        if b"<!ENTITY" in data or not ElementTree.fromstring(data).tag.endswith("svg"):
            raise LogoError(_NO_PICTURE)
    except ElementTree.ParseError as error:
        raise LogoError(_NO_PICTURE) from error
    renderer = QSvgRenderer(QByteArray(data))
    size = renderer.defaultSize()
    if not renderer.isValid() or size.isEmpty():
        raise LogoError(_NO_PICTURE)
    return Logo(size.width(), size.height(), renderer.render)


def draw_logo(painter: QPainter, logo: Logo, box: QRectF) -> None:
    """The logo as large as fits into the box, at its upper right."""
    scale = min(box.width() / logo.width, box.height() / logo.height)
    wide, high = logo.width * scale, logo.height * scale
    logo.paint(painter, QRectF(box.right() - wide, box.top(), wide, high))


def draw_head(painter: QPainter, shop: Shop, logo: Logo | None, box: QRectF) -> float:
    """Name and address at the upper left of a box, the logo at its upper right; returns where they end."""
    y, low = box.top(), box.top()
    if logo is not None:
        draw_logo(painter, logo, QRectF(box.right() - LOGO_WIDTH, y, LOGO_WIDTH, LOGO_HEIGHT))
        low += LOGO_HEIGHT + UNIT
    wide = box.width() - (LOGO_WIDTH + 2 * UNIT if logo is not None else 0)
    if shop.name:
        shown = fitting_size(shop.name, TITLE, wide, bold=True)
        text(painter, QRectF(box.left(), y, wide, 26), shop.name, shown, LIGHT.text, bold=True)
        y += 28
    for line in shop.address:
        high = line_height(SMALL)
        shown = fitting_size(line, SMALL, wide)
        text(painter, QRectF(box.left(), y, wide, high), line, shown, LIGHT.quiet)
        y += high
    return max(y + (UNIT / 2 if shop.address else 0), low)


def head_height(shop: Shop, logo: Logo | None) -> float:
    """How high that is."""
    words = (28 if shop.name else 0) + len(shop.address) * line_height(SMALL) + (UNIT / 2 if shop.address else 0)
    return max(words, LOGO_HEIGHT + UNIT if logo is not None else 0.0)
