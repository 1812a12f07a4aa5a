"""The job's card in the window: time, second check, photos, the customer's signature, the label."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pypdf
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor, QImage
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from gearplan.bike.files.bikefile import read_bike
from gearplan.bike.files.photos import photo_folder, photo_path
from gearplan.bike.profile import Owner
from gearplan.window.fitting.page import FittingPage
from gearplan.window.frame.opening.papers import OWNER_LEFT_OUT
from gearplan.window.frame.workbench import Workbench

CARD = 4


@pytest.fixture
def page(window: Workbench, qapp: QApplication, tmp_path: Path) -> FittingPage:
    window.document.save(tmp_path / "Ada.bike.toml")
    window.show_page("Fitting")
    qapp.processEvents()
    found: FittingPage = window.fitting_page
    return found


def test_time_and_a_second_persons_check_are_noted_at_the_step(
    window: Workbench, page: FittingPage, qtbot: QtBot
) -> None:
    page.tabs.setCurrentIndex(CARD)
    page.form.fields["second_check"].click()
    page._head_entered("technician", "MK")
    page._go("axle")
    extras = page.card.extras
    assert extras.checked.isVisible()
    qtbot.keyClicks(extras.minutes, "12,5")
    qtbot.keyClicks(extras.checked, "AB")
    qtbot.keyClick(extras.checked, Qt.Key.Key_Return)
    assert "signed off first" in extras.errors.text()
    page._reasoned("measured before")
    page.sign()
    page._go("axle")
    extras.checked.clear()
    qtbot.keyClicks(extras.checked, "mk")
    qtbot.keyClick(extras.checked, Qt.Key.Key_Return)
    assert "another person" in extras.errors.text()
    extras.checked.clear()
    qtbot.keyClicks(extras.checked, "AB")
    qtbot.keyClick(extras.checked, Qt.Key.Key_Return)
    assert dict(page.job.checked) == {"axle": "AB"}
    assert dict(page.job.minutes) == {"axle": "12.5"}
    page._go("slack")
    assert not extras.checked.isVisible()


def test_photos_are_copied_beside_the_file_shown_and_printed(
    window: Workbench, page: FittingPage, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, qapp: QApplication
) -> None:
    image = QImage(640, 480, QImage.Format.Format_RGB32)
    image.fill(QColor("#3366aa"))
    source = tmp_path / "elsewhere.jpg"
    assert image.save(str(source))
    page._go("axle")
    assert page.photos.attach(source)
    bike_file = window.document.path
    assert bike_file is not None
    [(name, step)] = page.job.photos
    assert step == "axle"
    kept = photo_path(bike_file, name)
    assert kept is not None
    assert kept.read_bytes() == source.read_bytes()
    assert len(page.card.extras._small) == 1
    assert not page.photos.attach(bike_file)
    assert "no picture" in page.card.extras.errors.text()
    assert photo_path(bike_file, "../secret") is None

    target = tmp_path / "sheet.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_args, **_kwargs: (str(target), ""))
    counts = []
    for ticked in (False, True):
        if ticked:
            page.tabs.setCurrentIndex(CARD)
            page.form.fields["photos_printed"].click()
        page._save()
        read = pypdf.PdfReader(target)
        counts.append(len(read.pages))
        last = " ".join(read.pages[-1].extract_text().split())
    assert counts[1] == counts[0] + 1
    assert "Torque the axle" in last
    page._go("axle")
    page.photos._remove(name)
    assert page.job.photos == ()
    assert photo_folder(bike_file).is_dir()


def test_an_unsaved_bike_is_saved_first(window: Workbench, qapp: QApplication, tmp_path: Path) -> None:
    window.show_page("Fitting")
    page = window.fitting_page
    assert not page.photos.attach(tmp_path / "a.jpg")
    assert "Save the bike first" in page.card.extras.errors.text()


def test_the_customer_signs_on_the_screen(window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path) -> None:
    page.tabs.setCurrentIndex(CARD)
    QApplication.processEvents()
    pad = page.form.signature.pad
    for begin in (20, 120):
        qtbot.mousePress(pad, Qt.MouseButton.LeftButton, pos=QPoint(begin, 30))
        for by in range(5, 60, 5):
            qtbot.mouseMove(pad, QPoint(begin + by, 30 + by % 15))
        qtbot.mouseRelease(pad, Qt.MouseButton.LeftButton, pos=QPoint(begin + 60, 40))
    drawn = page.job.card.signature
    assert drawn is not None
    assert (0.0, 0.0) in drawn
    window.document.save(tmp_path / "signed.bike.toml")
    assert read_bike(tmp_path / "signed.bike.toml").bike.jobs[-1].card.signature == drawn
    page.form.signature.wipe.click()
    assert page.job.card.signature is None
    window.document.undo()
    page.refresh()
    assert tuple(pad.points) == drawn


def test_the_label_is_written_and_says_what_is_due(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    page.tabs.setCurrentIndex(CARD)
    qtbot.keyClicks(page.form.fields["due_date"], "2027-05-01")
    qtbot.keyClicks(page.form.fields["due_hours"], "150")
    target = tmp_path / "label.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_args, **_kwargs: (str(target), ""))
    page.form.label.click()
    [label] = pypdf.PdfReader(target).pages
    text, size = " ".join(label.extract_text().split()), label.mediabox
    assert "Due again on 2027-05-01 or at 150 h" in text
    assert window.document.bike.name in text
    assert (round(size.width), round(size.height)) == (283, 170)


def test_the_label_is_printed_by_keys_with_the_owner_and_drawn_without(
    window: Workbench, page: FittingPage, qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    window.document.edit("Owner", replace(window.document.bike, owner=Owner("Ada Thornbury", None, "XQ 4711")))
    window.remembered.keep(lambda now: replace(now, owner_on_paper=True))
    target = tmp_path / "printed.pdf"

    def agree(dialog: QPrintDialog) -> int:
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(target))
        return int(QPrintDialog.DialogCode.Accepted.value)

    monkeypatch.setattr(QPrintDialog, "exec", agree)
    page.tabs.setCurrentIndex(CARD)
    page.form.print_label.setFocus()
    qtbot.keyClick(page.form.print_label, Qt.Key.Key_Return)
    [label] = pypdf.PdfReader(target).pages
    assert (round(label.mediabox.width), round(label.mediabox.height)) == (283, 170)
    assert "Ada Thornbury, registration XQ 4711" in " ".join(label.extract_text().split())
    picture = tmp_path / "label.png"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_args, **_kwargs: (str(picture), ""))
    page.form.label.setFocus()
    qtbot.keyClick(page.form.label, Qt.Key.Key_Return)
    assert picture.exists()
    assert window.message.text.text() == f"Written: {picture}. {OWNER_LEFT_OUT}"


def test_a_date_that_is_none_is_told(page: FittingPage, qtbot: QtBot) -> None:
    page.tabs.setCurrentIndex(CARD)
    field = page.form.fields["due_date"]
    qtbot.keyClicks(field, "soon")
    qtbot.waitUntil(lambda: "no date" in field.problem)
    assert page.job.card.due_date is None
