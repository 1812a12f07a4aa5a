"""Whose motorcycle: entered, saved, printed where the shop wants it, and in nothing that leaves the shop unseen."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from gearplan import cli
from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import bike_from_text, read_bike, text_with
from gearplan.bike.files.ownfolders import state_folder
from gearplan.bike.profile import Bike, Owner
from gearplan.plan.driveset import fitted
from gearplan.plan.job.finishing import finish
from gearplan.plan.job.job import with_job
from gearplan.plan.job.kept import bike_of
from gearplan.sheet import painter
from gearplan.window.frame import settings
from gearplan.window.frame.opening import crash
from gearplan.window.frame.workbench import Workbench
from tests.plan.job.workshop import conversion, serviced, signed

ADA = Owner("Ada Thornbury", "01632 960142", "XQ 4711", "ZZ9PLRL0000012345", "blue, top box")
PRIVATE = [getattr(ADA, key) for key in ("name", "contact", "registration", "frame_number", "note")]


def owned(bike: Bike) -> Bike:
    return replace(bike, owner=ADA)


def said_of(text: str) -> list[str]:
    return [private for private in PRIVATE if private in re.sub(r"\s+", " ", text)]


def pdf_text(path: Path) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(path).pages))


def test_it_is_typed_on_the_bike_page_and_stands_in_the_file(window: Workbench, qtbot: QtBot, tmp_path: Path) -> None:
    window.show_page("Bike")
    for key, text in zip(("name", "contact", "registration", "frame_number", "note"), PRIVATE, strict=True):
        window.bike_page.show_field(f"owner.{key}")
        field = window.focusWidget()
        assert field is not None
        qtbot.keyClicks(field, text)
    assert window.document.bike.owner == ADA
    assert window.document.unsaved
    assert window.files.write(tmp_path / "ada.bike.toml")
    assert read_bike(tmp_path / "ada.bike.toml").bike.owner == ADA
    assert "[owner]" in (tmp_path / "ada.bike.toml").read_text()
    for _ in PRIVATE:
        window.document.undo()
    assert window.document.bike.owner == Owner()


def test_a_job_keeps_nothing_of_the_owner_and_a_bike_that_is_sold_forgets_the_last_one() -> None:
    bike = owned(serviced())
    job = signed(bike, conversion(bike))
    done = finish(with_job(bike, job, job), job)
    assert "owner" not in dict(done.jobs[0].profile)
    sold = replace(done, owner=Owner("Bo Larkspur"))
    text = text_with(sold, text_with(done, ""))
    assert said_of(text) == []
    assert bike_of(bike_from_text(text, "").bike, done.jobs[0]).owner == Owner("Bo Larkspur")


def test_a_failure_is_written_down_without_the_owner(
    window: Workbench, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    window.document.edit("Owner", owned(window.document.bike))
    crash.guard(window)
    error = ValueError(f"{window.document.bike} /bikes/ADA THORNBURY, XQ 4711.bike.toml {ADA.contact}: made up")
    try:
        crash._caught(ValueError, error, None)
    finally:
        crash.release()
    report = (state_folder() / "errors.log").read_text()
    printed = capsys.readouterr().err
    for text in (report, printed):
        assert "made up" in text
        assert "/bikes/[name], [registration].bike.toml [contact]" in text
        assert said_of(text) == []


def test_on_paper_only_where_the_shop_wants_it_and_never_the_contact(
    window: Workbench, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "sheet.pdf"), ""))
    window.document.edit("Owner", owned(window.document.bike))
    window.show_page("Bike")
    window.show_page("Fitting")
    window.fitting_page.head.save_sheet.click()
    assert said_of(pdf_text(tmp_path / "sheet.pdf")) == []
    window.bike_page.on_paper.click()
    assert settings.load().owner_on_paper
    window.fitting_page.head.save_sheet.click()
    shown = ["Ada Thornbury", "XQ 4711", "ZZ9PLRL0000012345"]
    assert said_of(pdf_text(tmp_path / "sheet.pdf")) == shown
    window.bike_page.on_paper.click()
    assert not settings.load().owner_on_paper


def test_pictures_and_numbers_never_tell_of_the_owner(
    window: Workbench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bike = owned(demo_bike().bike)
    file = tmp_path / "ada.bike.toml"
    file.write_text(text_with(bike, ""))
    for number, name in enumerate(("speed.svg", "speed.pdf")):
        painter.save_speed_picture(bike, fitted(bike), tmp_path / name, bool(number))
    assert said_of((tmp_path / "speed.svg").read_text()) == []
    assert said_of(pdf_text(tmp_path / "speed.pdf")) == []
    assert cli.run(["numbers", str(file), "--json"]) == 0
    assert cli.run(["customer", str(file), "--front", "16", "--json"]) == 0
    assert said_of(capsys.readouterr().out) == []
    for command, front in (("customer", "16"), ("sheet", "16")):
        for option, shown in (([], 0), (["--owner"], 3)):
            page = tmp_path / "page.pdf"
            assert cli.run([command, str(file), "--front", front, "-o", str(page), *option]) == 0
            assert len(said_of(pdf_text(page))) == shown
            page.unlink()


@pytest.mark.parametrize(
    ("owner", "said"),
    [
        (ADA, "Ada Thornbury, registration XQ 4711, frame number ZZ9PLRL0000012345"),
        (Owner(registration="XQ 4711"), "Registration XQ 4711"),
        (Owner(contact="01632 960142"), ""),
    ],
)
def test_what_paper_says(owner: Owner, said: str) -> None:
    from gearplan.plan.customer.page import Asked
    from gearplan.plan.words import Speed
    from gearplan.sheet.customer.content import customer_sheet

    bike = replace(demo_bike().bike, owner=owner)
    for wanted in (True, False):
        sheet = customer_sheet(
            bike, fitted(bike), Asked(Speed(100, "km/h"), Speed(100, "km/h"), 6), date(2026, 5, 31), with_owner=wanted
        )
        assert sheet.whose == (said if wanted else "")
