"""Shop and paper: asked once, used by every page; what is odd is said and stays as it was typed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog, QLabel
from pytestqt.qtbot import QtBot

from gearplan.plan.quote.terms import TermsTyped, terms
from gearplan.window.frame import settings
from gearplan.window.frame.settings import Settings
from gearplan.window.frame.shopdialog import ShopDialog
from gearplan.window.frame.workbench import Workbench
from gearplan.window.kit import theme


@pytest.fixture
def dialog(qtbot: QtBot) -> ShopDialog:
    made = ShopDialog(Settings())
    theme.dress(made)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    return made


def test_what_is_entered_is_remembered_and_every_page_shows_it(
    window: Workbench, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fill(dialog: ShopDialog) -> int:
        dialog.name.setText("Tillwater Motorcycles")
        dialog.address.setPlainText("4 Marl Lane\n\nTillwater\n")
        dialog.paper.setCurrentText("Letter")
        dialog.units.setCurrentText("mph")
        dialog.owner.setChecked(True)
        dialog.included.setChecked(True)
        for key, text in (("currency", "EUR"), ("tax_percent", "7,7"), ("hour_price", "62.50"), ("hours_front", "0.4")):
            dialog.terms[key].setText(text)
        dialog._check()
        return dialog.result()

    monkeypatch.setattr(ShopDialog, "exec", fill)
    window.show_page("Bike")
    window.show_page("Quote")
    window.counter.ask_shop()
    kept = settings.load()
    assert (kept.shop_name, kept.shop_address) == ("Tillwater Motorcycles", "4 Marl Lane\nTillwater")
    typed = TermsTyped("EUR", "7,7", True, "62.50", "0.4", "", "", "", "")
    assert terms(kept) == terms(typed)
    assert (kept.paper, kept.owner_on_paper, window.view.speed_unit) == ("Letter", True, "mph")
    assert [a.data() for a in window._units if a.isChecked()] == ["mph"]
    assert window.bike_page.on_paper.isChecked()
    assert window.quote_page.terms.currency == "EUR"
    # Another window's number of the last quote is not taken back.
    settings.Remembered(settings.load(), print).keep(Settings.with_next_quote)
    window.remembered.keep(Settings.with_next_quote)
    assert settings.load().last_quote == window.remembered.now.last_quote == 2


@pytest.mark.parametrize(
    ("fill", "said"),
    [
        (lambda d, _p: d.terms["tax_percent"].setText("300"), "Tax, %: “300” can't be right; expected 0 to 100"),
        (lambda d, _p: d.terms["hour_price"].setText("1e9"), "Labour, each hour: “1e9” is not a number"),
        (lambda d, _p: d.terms["hour_price"].setText("1000000000"), "can't be right; expected 0 to 100000"),
        (lambda d, _p: d.terms["valid_days"].setText("soon"), "“soon” is not a whole number"),
        (lambda d, _p: d.logo.setText("/nowhere/logo.png"), "/nowhere/logo.png: No such file"),
        (lambda d, p: d.logo.setText(str(p)), "is no file"),
        (lambda d, p: d.logo.setText(str(broken(p))), "the logo is no picture that can be read"),
        (lambda d, p: d.logo.setText(str(large(p))), "larger than 10 MB"),
        (lambda d, _p: d.folder.setText("/nowhere"), "/nowhere: there is no such folder"),
        (lambda d, _p: d.address.setPlainText("x\n" * 9), "at most 6 lines"),
    ],
)
def test_what_cannot_be_is_said_and_stays(dialog: ShopDialog, qtbot: QtBot, tmp_path: Path, fill, said) -> None:  # type: ignore[no-untyped-def]
    dialog.name.setText("Tillwater Motorcycles")
    fill(dialog, tmp_path)
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert dialog.isVisible()
    assert said in dialog.errors.text()
    assert dialog.name.text() == "Tillwater Motorcycles"
    for key in ("logo", "folder"):
        getattr(dialog, key).clear()
    dialog.address.clear()
    for field in dialog.terms.values():
        field.clear()
    qtbot.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert not dialog.isVisible()
    assert dialog.changed(Settings()) == replace(Settings(), shop_name="Tillwater Motorcycles")


def broken(folder: Path) -> Path:
    (folder / "b.png").write_bytes(b"\x89PNG\r\n\x1a\n and no more")
    return folder / "b.png"


def large(folder: Path) -> Path:
    with (folder / "l.png").open("wb") as file:
        file.truncate(50_000_000)
    return folder / "l.png"


def test_enter_keeps_and_opens_no_other(dialog: ShopDialog, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_a: asked.append("logo") or ("", ""))
    dialog.logo.setFocus()
    qtbot.keyClick(dialog.logo, Qt.Key.Key_Return)
    assert asked == []
    assert dialog.result() == ShopDialog.DialogCode.Accepted
    for text, field in (("&Logo", dialog.logo), ("&Tax, %", dialog.terms["tax_percent"])):
        assert next(label for label in dialog.findChildren(QLabel) if label.text() == text).buddy() is field
