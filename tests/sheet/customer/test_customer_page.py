"""The page to take home: one page, the right paper, the sentences on it, and a refusal instead of a broken file."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from hypothesis import given, settings
from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QColor, QImage

from gearplan import cli
from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.plan.customer.page import Asked, customer
from gearplan.plan.driveset import fitted
from gearplan.plan.quote.proposals import set_of, with_proposal
from gearplan.sheet import painter
from gearplan.sheet.customer.content import customer_sheet
from gearplan.sheet.shop import PAPERS, Paper, Shop
from tests.bike.strategies import bikes

BIKE = demo_bike().bike
TALLER = replace(fitted(BIKE), front=16)
DAY = date(2026, 5, 31)
pytestmark = pytest.mark.usefixtures("qapp")


def png(colour: str) -> bytes:
    image = QImage(40, 20, QImage.Format.Format_RGB32)
    image.fill(QColor(colour))
    store = QBuffer()
    store.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(store, "PNG")  # type: ignore[call-overload]
    return bytes(store.data().data())


def words(path: Path) -> str:
    return " ".join(pypdf.PdfReader(path).pages[0].extract_text().split())


@pytest.mark.parametrize("paper", PAPERS)
def test_one_page_of_the_paper_asked_for(tmp_path: Path, paper: Paper) -> None:
    sheet = customer_sheet(BIKE, TALLER, Asked(), DAY, shop=Shop("Tillwater Motorcycles"), paper=paper)
    painter.save_customer_page(sheet, tmp_path / "p.pdf")
    pages = pypdf.PdfReader(tmp_path / "p.pdf").pages
    assert len(pages) == 1
    assert (float(pages[0].mediabox.width), float(pages[0].mediabox.height)) == pytest.approx(PAPERS[paper], abs=0.6)
    text = words(tmp_path / "p.pdf")
    for sentence in sheet.content.sentences:
        assert sentence.text in text
    for needed in ("Tillwater Motorcycles", "31 May 2026", "Brindle 650", "Then: 16/46", "obey limits", "268 kg"):
        assert needed in text
    for caution in sheet.content.cautions:
        assert caution in text


@pytest.mark.parametrize("paper", PAPERS)
def test_pinned_sets_stand_on_it_with_price_verdict_and_difference(tmp_path: Path, paper: Paper) -> None:
    bike = BIKE
    for front, rear in ((16, 46), (16, 43), (14, 46), (13, 52)):
        bike = with_proposal(bike, replace(fitted(BIKE), front=front, rear=rear), DAY)
    first, second, third, last = bike.proposals
    named = replace(second, name="Touring for two, with luggage", price=1168.66, currency="EUR")
    bike = replace(
        bike, proposals=(replace(first, price=141.5, currency="EUR"), named, replace(third, name=None), last)
    )
    painter.save_customer_page(customer_sheet(bike, TALLER, Asked(), DAY, paper=paper), tmp_path / "p.pdf")
    assert len(pypdf.PdfReader(tmp_path / "p.pdf").pages) == 1
    text = words(tmp_path / "p.pdf")
    for needed in ("Pull", "Engine", "Top speed", "Price", "now 15/46", "Set A 16/46", "141.50 EUR", "1168.66 EUR"):
        assert needed in text
    for one, name in zip(bike.proposals[1:], (named.name, "then", "Set D"), strict=True):
        content = customer(bike, set_of(one), Asked())
        told = [sentence.text for sentence in content.sentences if sentence.about in ("fit", "pull", "engine")]
        assert f"{name} {one.front}/{one.rear}: {told[0] if content.level == 'does not fit' else ''}".strip() in text
        assert all(sentence in text for sentence in told)
    # The one that is proposed has sentences of its own.
    assert "Set A 16/46:" not in text
    declined = replace(bike, proposals=tuple(replace(one, state="declined") for one in bike.proposals))
    painter.save_customer_page(customer_sheet(declined, TALLER, Asked(), DAY, paper=paper), tmp_path / "p.pdf")
    assert "Touring" not in words(tmp_path / "p.pdf")


@pytest.mark.parametrize("colour", ["#ff0000", "#00ff00"])
def test_the_logo_is_drawn(tmp_path: Path, colour: str) -> None:
    sheet = customer_sheet(BIKE, TALLER, Asked(), DAY, shop=Shop("", logo=png(colour)))
    painter.save_customer_page(sheet, tmp_path / "p.png")
    image = QImage(str(tmp_path / "p.png"))
    upper_right = {image.pixelColor(x, 140).name() for x in range(image.width() * 3 // 4, image.width())}
    assert colour in upper_right
    rectangle = f'<rect width="9" height="3" fill="{colour}"/>'
    vector = f'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="3">{rectangle}</svg>'
    painter.save_customer_page(
        customer_sheet(BIKE, TALLER, Asked(), DAY, shop=Shop("", logo=vector.encode())), tmp_path / "v.png"
    )
    image = QImage(str(tmp_path / "v.png"))
    assert colour in {image.pixelColor(x, 130).name() for x in range(image.width() * 3 // 4, image.width())}


@pytest.mark.parametrize("logo", [b"no picture", b"<not svg", b"\x89PNG\r\n\x1a\n"])
def test_a_logo_that_is_none_is_refused_and_nothing_written(tmp_path: Path, logo: bytes) -> None:
    sheet = customer_sheet(BIKE, TALLER, Asked(), DAY, shop=Shop("", logo=logo))
    with pytest.raises(ValueError, match="PNG, JPEG or SVG"):
        painter.save_customer_page(sheet, tmp_path / "p.pdf")
    assert list(tmp_path.iterdir()) == []


def test_a_shop_s_name_must_be_a_line() -> None:
    with pytest.raises(ValueError, match="the shop's name"):
        customer_sheet(BIKE, TALLER, Asked(), DAY, shop=Shop("two\nlines"))


def test_long_names_stay_on_the_page(tmp_path: Path) -> None:
    long = replace(BIKE, name="Wide Wombat " * 16)
    sheet = customer_sheet(long, TALLER, Asked(), DAY, shop=Shop("Motor Works and Sons " * 9, logo=png("#123456")))
    painter.save_customer_page(sheet, tmp_path / "p.png")
    image = QImage(str(tmp_path / "p.png"))
    edge = {image.pixelColor(image.width() - 20, y).name() for y in range(image.height())}
    assert edge == {"#ffffff"}


@given(bikes())
@settings(max_examples=8)
def test_any_bike_can_be_printed(tmp_path: Path, bike: Bike) -> None:
    painter.save_customer_page(customer_sheet(bike, fitted(bike), Asked(), DAY), tmp_path / "p.pdf")
    assert len(pypdf.PdfReader(tmp_path / "p.pdf").pages) == 1


def test_the_command_prints_and_draws(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["customer", "--front", "16"]) == 0
    assert "calmer" in capsys.readouterr().out
    target = tmp_path / "page.pdf"
    asked = ["customer", "--front", "16", "--cruise", "70 mph", "--date", "2026-05-31", "--shop", "Tillwater"]
    assert cli.run([*asked, "-o", str(target), "--paper", "Letter"]) == 0
    assert "31 May 2026" in words(target)
    assert cli.run(["customer", "--json"]) == 0
    assert '"sentences"' in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--cruise", "fast"], "120 km/h or 70 mph"),
        (["--pull-gear", "reverse"], "gear 4 or top gear"),
        (["--pull-gear", "8"], "6 gears"),
        (["--date", "31.5."], "2026-05-31"),
        (["-o", "x.jpg"], ".pdf"),
        (["-o", "x.pdf", "--logo", "/no/logo.png"], "/no/logo.png"),
        (["--stock", "/no/s.csv"], "no such file"),
    ],
)
def test_the_command_refuses_in_one_line(arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["customer", *arguments]) == 2
    _, err = capsys.readouterr()
    assert says in err
    assert err.count("\n") == 1
