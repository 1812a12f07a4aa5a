"""What is printed: the page that a customer takes home, the fitting sheet, the pit board and the session sheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog, QWidget

from gearplan.bike.profile import Bike
from gearplan.plan.driveset import DriveSet, fitted
from gearplan.window.document.document import Document
from gearplan.window.frame.files import Files, told_of
from gearplan.window.frame.message import MessageStrip
from gearplan.window.frame.settings import Remembered

if TYPE_CHECKING:
    from gearplan.bike.job import Job
    from gearplan.bike.stock import Stock
    from gearplan.plan.customer.page import Asked
    from gearplan.sheet.circuit.pitboard import PitBoard
    from gearplan.sheet.fitting.content import FittingSheet
    from gearplan.sheet.painter import Drawing
    from gearplan.sheet.shop import Paper

_PAGES = "Pages and pictures (*.pdf *.png *.svg)"


class Papers:
    """Asks where to, then draws. Shop, paper and whether the owner stands on it are remembered."""

    def __init__(
        self, window: QWidget, document: Document, message: MessageStrip, files: Files, remembered: Remembered
    ) -> None:
        self._window, self._document, self._message = window, document, message
        self._files, self._remembered = files, remembered

    def ask_customer_page(self, asked: Asked, stock: Stock | None) -> None:
        """Ask for the shop and where to, then draw the page that the customer takes home."""
        from gearplan.sheet import painter
        from gearplan.sheet.customer.content import customer_sheet
        from gearplan.sheet.shop import Shop, logo_bytes
        from gearplan.window.customer.takehome import TakeHomeDialog

        known = self._remembered.look()
        dialog = TakeHomeDialog(known.shop_name, known.shop_logo, known.paper, self._window)
        agreed = dialog.exec() == TakeHomeDialog.DialogCode.Accepted
        name, logo, paper = dialog.name.text().strip(), dialog.logo.text().strip(), dialog.paper.currentText()
        dialog.deleteLater()
        if not agreed:
            return
        self._remembered.keep(partial(replace, shop_name=name, shop_logo=logo, paper=paper))

        def draw(bike: Bike, chosen: DriveSet, path: Path) -> None:
            shop = Shop(name, logo=logo_bytes(logo))
            sheet = customer_sheet(
                bike,
                chosen,
                asked,
                date.today(),
                shop=shop,
                stock=stock,
                paper=_paper(paper),
                with_owner=known.owner_on_paper,
            )
            painter.save_customer_page(sheet, path)

        self._files.ask_and_draw("Save the page to take home", "for the customer.pdf", draw)

    def ask_fitting_sheet(self, job: Job, filled: bool, paper: str, stock: Stock | None) -> None:
        """Ask where to, then draw the fitting sheet of a job into a PDF."""
        from gearplan.sheet import painter

        self._remembered.keep(partial(replace, paper=paper))
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Save the fitting sheet", str(self._files.suggested(" fitting sheet.pdf")), "PDF (*.pdf)"
        )
        if not name:
            return
        path = Path(name) if name.lower().endswith(".pdf") else Path(f"{name}.pdf")
        try:
            painter.save_fitting_sheet(self._sheet(job, filled, paper, stock), path)
        except (OSError, ValueError) as failed:
            self._message.say(f"Nothing written to {path}: {told_of(failed, path)}", wrong=True)
            return
        self._message.say(f"Written: {path}")

    def print_fitting_sheet(self, job: Job, filled: bool, paper: str, stock: Stock | None) -> None:
        """Ask for a printer, then print the fitting sheet of a job."""
        from gearplan.sheet import painter

        self._remembered.keep(partial(replace, paper=paper))
        self._print("Fitting sheet", paper, lambda: painter.fitting_drawing(self._sheet(job, filled, paper, stock)))

    def pit_board(self, board: PitBoard, to_printer: bool) -> None:
        """Ask for a printer, or where to, then draw the pit board."""
        from gearplan.sheet import painter

        if to_printer:
            self._print("Pit board", "A4", lambda: painter.pit_board_drawing(board))
            return
        self._files.ask_and_write(
            "Save the pit board",
            str(self._files.suggested(" pit board.pdf")),
            _PAGES,
            lambda path: painter.save_pit_board(board, path),
        )

    def session_sheet(self, to_printer: bool) -> None:
        """Ask for a printer, or where to, then draw the sheet to fill in by hand, on the paper that was used last."""
        from gearplan.sheet import painter
        from gearplan.sheet.session.content import session_sheet

        circuit, bike = self._document.circuit, self._document.bike
        paper = _paper(self._remembered.look().paper)
        sheet = session_sheet(bike, fitted(bike), circuit.name if circuit else "", paper=paper)
        if to_printer:
            self._print("Sessions", paper, lambda: painter.session_drawing(sheet))
            return
        self._files.ask_and_write(
            "Save the session sheet",
            str(self._files.suggested(" sessions.pdf")),
            _PAGES,
            lambda path: painter.save_session_sheet(sheet, path),
        )

    def _print(self, name: str, paper: str, drawing: Callable[[], Drawing]) -> None:
        """Ask for a printer, then print."""
        from PySide6.QtGui import QPageSize
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setPageSize(QPageSize(getattr(QPageSize.PageSizeId, paper)))
        printer.setFullPage(True)
        printer.setDocName(f"{name}, {self._document.bike.name or 'bike'}")
        dialog = QPrintDialog(printer, self._window)
        agreed = dialog.exec() == QPrintDialog.DialogCode.Accepted
        dialog.deleteLater()
        if not agreed:
            return
        drawing().draw_pages(printer)
        wrong = printer.printerState() == QPrinter.PrinterState.Error
        self._message.say("The printer reports an error." if wrong else "Sent to the printer.", wrong=wrong)

    def _sheet(self, job: Job, filled: bool, paper: str, stock: Stock | None) -> FittingSheet:
        from gearplan.sheet.fitting.content import fitting_sheet

        return fitting_sheet(
            self._document.bike,
            job,
            filled=filled,
            paper=_paper(paper),
            stock=stock,
            with_owner=self._remembered.look().owner_on_paper,
        )


def _paper(name: str) -> Paper:
    return "Letter" if name == "Letter" else "A4"
