"""The quote on paper, read back: sums, lines, several pages, odd logos, and everything inside the page."""

from __future__ import annotations

import struct
import zlib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QColor, QImage

from gearplan.bike.profile import Bike, Owner
from gearplan.plan.money import plain
from gearplan.plan.quote.fitting import job_of
from gearplan.plan.quote.quote import made, quote, with_part
from gearplan.sheet import painter
from gearplan.sheet.fitting.content import fitting_sheet
from gearplan.sheet.quote.content import quote_sheet
from gearplan.sheet.shop import PAPERS, LogoError, Paper, Shop, address_lines, logo_bytes
from tests.plan.quote.test_quote import DAY, SHOP, STOCK, bike_of, priced

TILLWATER = Shop("Tillwater Motorcycles", ("4 Marl Lane", "Tillwater", "Tax number 77 / 12"))
pytestmark = pytest.mark.usefixtures("qapp")


def words(path: Path) -> str:
    told = " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages)
    return " ".join(told.replace("\u202f", " ").replace("\u00a0", " ").split())


def quoted(*rears: int) -> Bike:
    bike = bike_of(*rears)
    for place in range(len(rears)):
        bike = priced(bike, place, lubricant=(0.5, 8.61))
    return made(bike, quote(bike, list(range(len(rears))), SHOP, DAY, STOCK), "2026-017")


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("count", [1, 2, 3])
def test_what_a_quote_says_stands_on_the_paper(tmp_path: Path, paper: Paper, count: int) -> None:
    bike = quoted(*(45, 44, 43)[:count])
    bike = replace(bike, owner=Owner(name="Ada Thornbury", registration="XQ 4711"))
    shown = quote(bike, list(range(count)), SHOP, date(2027, 1, 1))
    sheet = quote_sheet(bike, shown, shop=TILLWATER, paper=paper)
    painter.save_quote(sheet, tmp_path / "q.pdf")
    (page,) = pypdf.PdfReader(tmp_path / "q.pdf").pages
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(PAPERS[paper], abs=0.6)
    told = words(tmp_path / "q.pdf")
    for one in shown.sets:
        assert f"{plain(one.total, 'EUR')} EUR" in told
        for needed in (one.name, plain(one.net, "EUR"), plain(one.tax, "EUR"), *(f"{li.amount}" for li in one.lines)):
            assert needed in told
    for needed in ("Quote 2026-017", "Date: 2 March 2026", "Valid until: 1 April 2026", "Brindle 650", "4 Marl Lane"):
        assert needed in told
    assert "Each line is rounded to 0.01, a half up." in told
    assert "customer's signature" in told
    assert "0.5 × 8.61" in told
    assert "1.15 h × 62.50" in told
    assert "Thornbury" not in told
    painter.save_quote(quote_sheet(bike, shown, paper=paper, with_owner=True), tmp_path / "o.pdf")
    assert "Ada Thornbury, registration XQ 4711" in words(tmp_path / "o.pdf")


def test_long_texts_go_on_over_several_pages_and_stay_inside(tmp_path: Path) -> None:
    bike = quoted(45, 44, 43)
    long = "Wide Wombat "
    named = replace(bike.proposals[0], name=(long * 16).strip())
    bike = replace(bike, name=(long * 16).strip(), proposals=(named, *bike.proposals[1:]))
    sheet = quote_sheet(
        bike, quote(bike, [0, 1, 2], SHOP, DAY), shop=Shop((long * 12).strip(), ((long * 9).strip(),) * 6)
    )
    told = replace(sheet, notes=(*sheet.notes, *[long * 60] * 20))
    painter.save_quote(told, tmp_path / "q.pdf")
    pages = pypdf.PdfReader(tmp_path / "q.pdf").pages
    assert len(pages) > 1
    assert words(tmp_path / "q.pdf").endswith(f"Page {len(pages)} of {len(pages)}")
    # Nothing is drawn in the margins of any page.
    painter.save_quote(told, tmp_path / "q.png")
    picture = QImage(str(tmp_path / "q.png"))
    white = QColor("white").rgb()
    for x in (*range(0, 80, 8), *range(picture.width() - 80, picture.width(), 8)):
        assert all(picture.pixel(x, y) == white for y in range(0, picture.height(), 5))


def test_large_sums_are_whole(tmp_path: Path) -> None:
    bike = bike_of(45, 44, 43)
    proposals = tuple(with_part(one, "rear", quantity=999.0, price=999_999.99) for one in bike.proposals)
    bike = replace(bike, proposals=proposals)
    shown = quote(bike, [0, 1, 2], SHOP, DAY, STOCK)
    painter.save_quote(quote_sheet(bike, shown), tmp_path / "q.pdf")
    assert "998 999 990.01" in words(tmp_path / "q.pdf")


def png(wide: int, high: int) -> bytes:
    image = QImage(wide, high, QImage.Format.Format_RGB32)
    image.fill(QColor("#ff0000"))
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(store, "PNG")  # type: ignore[call-overload]
    return bytes(store.data().data())


def test_a_large_logo_is_drawn_and_weighs_little(tmp_path: Path) -> None:
    bike = quoted(45)
    shown = quote(bike, [0], SHOP, DAY)
    painter.save_quote(quote_sheet(bike, shown, shop=replace(TILLWATER, logo=png(5000, 2500))), tmp_path / "q.png")
    image = QImage(str(tmp_path / "q.png"))
    assert image.pixelColor(image.width() - 120, 120).name() == "#ff0000"


def head_of_png(wide: int, high: int) -> bytes:
    """The beginning of such a picture, and nothing behind it."""
    inside = b"IHDR" + struct.pack(">IIBBBBB", wide, high, 8, 2, 0, 0, 0)
    ends = (
        struct.pack(">I", zlib.crc32(inside)) + struct.pack(">I", 0) + b"IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))
    )
    return b"\x89PNG\r\n\x1a\n" + struct.pack(">I", 13) + inside + ends


@pytest.mark.parametrize(
    ("logo", "said"),
    [
        (head_of_png(60_000, 60_000), "60000 × 60000 pixels"),
        (png(40, 20)[:60], "no picture that can be read"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'", "no picture that can be read"),
        (b"<!DOCTYPE x [<!ENTITY a 'b'>]><svg xmlns='http://www.w3.org/2000/svg'/>", "no picture that can be read"),
    ],
)
def test_an_odd_logo_is_said_and_nothing_written(tmp_path: Path, logo: bytes, said: str) -> None:
    bike = quoted(45)
    sheet = quote_sheet(bike, quote(bike, [0], SHOP, DAY), shop=replace(TILLWATER, logo=logo))
    with pytest.raises(LogoError, match=said):
        painter.save_quote(sheet, tmp_path / "q.pdf")
    assert list(tmp_path.iterdir()) == []


def test_the_fitting_sheet_has_the_shops_head_too(tmp_path: Path) -> None:
    bike = quoted(45)
    job = job_of(bike, bike.proposals[0], DAY)
    painter.save_fitting_sheet(fitting_sheet(bike, job, shop=replace(TILLWATER, logo=png(40, 20))), tmp_path / "f.pdf")
    for page in pypdf.PdfReader(tmp_path / "f.pdf").pages:
        assert "Tillwater Motorcycles" in page.extract_text().replace("\t", " ")
        assert len(page.images) == 1
    told = words(tmp_path / "f.pdf")
    for needed in ("Fitting sheet, page 1 of", "8.61"):
        assert needed in told


def test_a_logo_is_a_file_of_sensible_size(tmp_path: Path) -> None:
    assert logo_bytes("") == b""
    large = tmp_path / "large.png"
    with large.open("wb") as file:
        file.truncate(20_000_000)
    for path, said in ((large, "larger than 10 MB"), (tmp_path, "is no file"), (Path("/dev/zero"), "is no file")):
        with pytest.raises(LogoError, match=said):
            logo_bytes(str(path))
    with pytest.raises(FileNotFoundError):
        logo_bytes(str(tmp_path / "none.png"))


def test_an_address_is_a_few_lines() -> None:
    assert address_lines(" 4 Marl Lane \n\nTillwater") == ("4 Marl Lane", "Tillwater")
    with pytest.raises(ValueError, match="at most 6 lines; this has 9"):
        address_lines("x\n" * 9)
    with pytest.raises(ValueError, match="each line of the address must be one line"):
        address_lines("x" * 300)
    bike = bike_of(45)
    with pytest.raises(ValueError, match="the shop's address"):
        quote_sheet(bike, quote(bike, [0], SHOP, DAY), shop=Shop("", ("two\nlines",)))
