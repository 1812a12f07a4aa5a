"""A shop's stock list in the window: opened with a question, edited as a table, opened again at the next start."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt, QTimer
from PySide6.QtWidgets import QApplication, QComboBox, QFileDialog, QLineEdit, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from gearplan.bike.demo import demo_bike
from gearplan.bike.stocklist.reading import read_stock
from gearplan.window.choices.page import ChoicesPage
from gearplan.window.frame import settings
from gearplan.window.frame.workbench import Workbench
from gearplan.window.tables.stockcolumns import ColumnsDialog
from gearplan.window.tables.stockdialog import StockDialog
from tests.stock import list_of_text

OWN_FILE = Path(__file__).parents[2] / "bike" / "stocklist" / "made" / "openpyxl.xlsx"
SHOP = "Nr;Gr;Wo;Z;Da;VK;Regal\nR-15;520;vorn;15;2;€ 48,00;B7\nK-47;520;hinten;47;0;auf Anfrage;B9\n"


@pytest.fixture
def page(window: Workbench, qapp: QApplication) -> ChoicesPage:
    window.show_page("Choices")
    qapp.processEvents()
    found: ChoicesPage = window.choices_page
    return found


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    path = tmp_path / "shop.csv"
    path.write_text(SHOP, encoding="utf-8")
    return path


@pytest.fixture
def dialog(window: Workbench, shop: Path, page: ChoicesPage, qtbot: QtBot) -> Iterator[StockDialog]:
    _answered(qtbot)
    page.ranges.read(shop)
    made = StockDialog(window.view.stock_list, window)
    made.show()
    yield made
    made.done(0)
    made.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)


def _answered(qtbot: QtBot) -> list[str]:
    """Answer the question about the columns, with the keyboard, once it stands there; what stood in it."""
    seen: list[str] = []

    def answer() -> None:
        asked = QApplication.activeModalWidget()
        if not isinstance(asked, ColumnsDialog):
            QTimer.singleShot(20, answer)
            return
        seen.append(asked.question.words.text())
        for place, word in ((0, "Article number"), (4, "Quantity")):
            choice: QComboBox = asked.question.kinds[place]
            choice.setFocus()
            while choice.currentText() != word:
                before = choice.currentIndex()
                qtbot.keyClick(choice, Qt.Key.Key_Down if choice.findText(word) > before else Qt.Key.Key_Up)
                choice = asked.question.kinds[place]
        seen.append(asked.outcome.text())
        qtbot.mouseClick(asked.question.read, Qt.MouseButton.LeftButton)

    QTimer.singleShot(20, answer)
    return seen


def test_headings_that_are_not_known_are_asked_about_once(
    window: Workbench, page: ChoicesPage, shop: Path, qtbot: QtBot
) -> None:
    seen = _answered(qtbot)
    page.ranges.read(shop)
    assert "marked" in seen[0]
    assert "2 parts." in seen[1]
    stock = window.view.stock
    assert stock is not None
    assert [(item.side, item.teeth, item.quantity, item.price, item.number) for item in stock.items] == [
        ("front", 15, 2, 48.0, "R-15"),
        ("rear", 47, 0, None, "K-47"),
    ]
    assert "taken without a price" in page.ranges.stock_words.text()
    # No question any more: nobody answers it here.
    page.ranges.read(shop)
    assert window.view.stock == stock


def test_a_question_left_changes_nothing(window: Workbench, page: ChoicesPage, shop: Path, qtbot: QtBot) -> None:
    def leave() -> None:
        asked = QApplication.activeModalWidget()
        if isinstance(asked, ColumnsDialog):
            qtbot.keyClick(asked, Qt.Key.Key_Escape)
        else:
            QTimer.singleShot(20, leave)

    QTimer.singleShot(20, leave)
    page.ranges.read(shop)
    assert window.view.stock_list is None


def test_the_last_list_is_opened_again_at_the_start(
    window: Workbench, page: ChoicesPage, shop: Path, qtbot: QtBot
) -> None:
    _answered(qtbot)
    page.ranges.read(shop)
    window._view_keeper.keep()
    for path, said in ((shop, "2 parts"), (shop, "no such file")):
        if said == "no such file":
            path.unlink()
        second = Workbench(settings.load())
        second.files.start_with(demo_bike(), None)
        second.make_pages()
        qtbot.waitUntil(lambda at=second, words=said: words in at.view.stock_told)  # type: ignore[misc]
        assert second.view.stock_path == shop
        second.close()
        second.deleteLater()
        # A list that is not there today is tried again tomorrow.
        assert settings.load().stock_list == str(shop)


def test_a_cell_is_edited_and_all_else_stays(dialog: StockDialog, window: Workbench, shop: Path, qtbot: QtBot) -> None:
    table = dialog.table
    table.setFocus()
    table.setCurrentIndex(dialog.rows.index(1, 5))
    qtbot.keyClicks(table, "5")
    editor = table.viewport().findChild(QLineEdit)
    assert editor is not None
    qtbot.keyClicks(editor, "2,50")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    QApplication.processEvents()
    assert dialog.isVisible()
    assert dialog.changed
    dialog._tell()
    assert dialog.words.text() == "2 parts."
    qtbot.keyClick(dialog.keep, Qt.Key.Key_Space)
    assert dialog.result() == StockDialog.DialogCode.Accepted
    assert shop.read_text(encoding="utf-8") == SHOP.replace("auf Anfrage", "52,50")
    assert dialog.listed.found.stock.items[1].price == 52.5


def test_parts_are_added_taken_away_and_changes_undone(dialog: StockDialog, shop: Path, qtbot: QtBot) -> None:
    qtbot.keyClick(dialog, Qt.Key.Key_N, Qt.KeyboardModifier.ControlModifier)
    assert dialog.rows.rowCount() == 3
    qtbot.keyClick(dialog.table.viewport().findChild(QWidget), Qt.Key.Key_Escape)
    for column, text in enumerate(("R-16", "520", "vorn", "oops", "1")):
        dialog.rows.setData(dialog.rows.index(2, column), text)
    dialog._tell()
    assert "line 4: teeth" in dialog.words.text()
    assert "teeth" in dialog.rows.index(2, 7).data()
    dialog.rows.setData(dialog.rows.index(2, 3), "16")
    dialog._tell()
    assert dialog.rows.index(2, 7).data() == ""
    dialog.table.setCurrentIndex(dialog.rows.index(0, 0))
    qtbot.keyClick(dialog, Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    assert dialog.rows.rowCount() == 2
    assert dialog.save(shop)
    assert [item.teeth for item in read_stock(shop).stock.items] == [47, 16]
    for _ in range(20):
        dialog.undo()
    assert dialog.rows.table.rows[1][0] == "R-15"


def test_leaving_asks_and_a_list_changed_meanwhile_is_not_overwritten(
    dialog: StockDialog, shop: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    dialog.rows.setData(dialog.rows.index(0, 4), "9")
    monkeypatch.setattr(QMessageBox, "question", lambda *_args: QMessageBox.StandardButton.Cancel)
    dialog.reject()
    assert dialog.isVisible()
    shop.write_text(SHOP + "X;520;vorn;16;1;1;A\n", encoding="utf-8")
    dialog._save()
    assert "changed by another program" in dialog.words.text()
    assert "X;520" in shop.read_text(encoding="utf-8")
    assert not dialog.save(shop.parent / "none" / "list.csv")
    assert "Not saved" in dialog.words.text()
    monkeypatch.setattr(QMessageBox, "question", lambda *_args: QMessageBox.StandardButton.Discard)
    dialog.reject()
    assert not dialog.isVisible()


def test_a_spreadsheets_own_file_is_edited_and_saved_beside_it_by_keys(
    window: Workbench, page: ChoicesPage, tmp_path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "list.xlsx"
    path.write_bytes(OWN_FILE.read_bytes())
    page.ranges.read(path)
    assert "list.xlsx, sheet “Lager”: 6 parts." in page.ranges.stock_words.text()
    window.view.set_currency("CHF")
    assert window.view.stock is not None
    # The list names its own; one that names none is in the shop's.
    assert window.view.stock.currency == "EUR"
    window.view.set_stock(list_of_text("chain_size,side,teeth,quantity,price\n520,front,15,1,48\n"))
    assert window.view.stock.currency == "CHF"
    page.ranges.read(path)
    dialog = StockDialog(window.view.stock_list, window)
    dialog.show()
    dialog.rows.setData(dialog.rows.index(0, 4), "9")
    suggested: list[str] = []

    def named(*asked: object) -> tuple[str, str]:
        suggested.append(str(asked[2]))
        return (str(path) if len(suggested) == 1 else suggested[0], "")

    monkeypatch.setattr(QFileDialog, "getSaveFileName", named)
    qtbot.keyClick(dialog.keep, Qt.Key.Key_Space)
    assert suggested == [str(tmp_path / "list.csv")]
    assert "it a name that ends in .csv" in dialog.words.text()
    qtbot.keyClick(dialog.keep, Qt.Key.Key_Space)
    assert not dialog.isVisible()
    assert dialog.listed.path == tmp_path / "list.csv"
    assert dialog.listed.found.stock.items[0].quantity == 9
    assert path.read_bytes() == OWN_FILE.read_bytes()
    dialog.deleteLater()


def test_article_numbers_reach_the_parts_list(window: Workbench, page: ChoicesPage, tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text("chain_size,side,teeth,quantity,price,number\n520,front,16,1,21,R-16/520\n")
    page.ranges.read(path)
    window.document.propose(replace(window.document.chosen, front=16), "16")
    window.show_page("Fitting")
    window.fitting_page.tabs.setCurrentIndex(1)
    assert window.fitting_page.parts.rows["front"].number.placeholderText() == "R-16/520"
