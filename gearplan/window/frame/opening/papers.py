"""What is printed: the page to take home, the quote, the fitting sheet, the pit board and the session sheet."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QFileDialog, QWidget

from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.photos import MOST_BYTES, photo_path
from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.driveset import fitted
from gearplan.plan.quote.terms import Terms, terms
from gearplan.window.document.document import Document
from gearplan.window.frame.message import MessageStrip
from gearplan.window.frame.settings import Remembered, Settings

from .files import Files, told_of

if TYPE_CHECKING:
    from gearplan.bike.stock import Stock
    from gearplan.bike.work.job import Job
    from gearplan.plan.customer.page import Asked
    from gearplan.plan.quote.quote import Quote
    from gearplan.sheet.circuit.pitboard import PitBoard
    from gearplan.sheet.customer.content import CustomerSheet
    from gearplan.sheet.fitting.content import FittingSheet
    from gearplan.sheet.painter import Drawing
    from gearplan.sheet.quote.content import QuoteSheet
    from gearplan.sheet.shop import Paper, Shop

#: Said of a picture where the shop wants the owner on its pages.
OWNER_LEFT_OUT = tr("A picture does not say whose motorcycle it is; paper and PDF do.")
_PAGES = tr("Pages and pictures (*.pdf *.png *.svg)")


class Papers:
    """Asks where to, then draws. Shop, paper and whether the owner stands on it are remembered."""

    def __init__(
        self, window: QWidget, document: Document, message: MessageStrip, files: Files, remembered: Remembered
    ) -> None:
        self._window, self._document, self._message = window, document, message
        self._files, self._remembered = files, remembered

    def terms(self) -> Terms:
        """What the shop's quotes rest on."""
        return terms(self._remembered.look())

    def ask_customer_page(self, asked: Asked, stock: Stock | None) -> None:
        """Ask where to, then draw the page that the customer takes home."""
        from gearplan.sheet import painter

        self._files.ask_and_write(
            tr("Save the page to take home"),
            str(self._suggested(tr(" for the customer.pdf"))),
            _PAGES,
            lambda path: painter.save_customer_page(self._customer_sheet(asked, stock), path),
            self._of_owner,
        )

    def print_customer_page(self, asked: Asked, stock: Stock | None) -> None:
        """Ask for a printer, then print the page that the customer takes home."""
        from gearplan.sheet import painter

        paper = self._remembered.look().paper
        self._print(
            tr("Page to take home"), paper, lambda: painter.customer_drawing(self._customer_sheet(asked, stock))
        )

    def copy_customer_page(self, asked: Asked, stock: Stock | None) -> None:
        """Put the page that the customer takes home on the clipboard as a picture, without whose motorcycle it is."""
        from gearplan.sheet import painter

        try:
            image = painter.customer_image(self._customer_sheet(asked, stock))
        except (OSError, ValueError) as failed:
            self._message.say(tr("Nothing copied: {told_of}", told_of=told_of(failed, Path())), wrong=True)
            return
        QApplication.clipboard().setImage(image)
        self._message.say(tr("The page to take home is on the clipboard as a picture, without the owner's name."))

    def _customer_sheet(self, asked: Asked, stock: Stock | None) -> CustomerSheet:
        from gearplan.sheet.customer.content import customer_sheet

        known = self._remembered.look()
        return customer_sheet(
            self._document.bike,
            self._document.chosen,
            asked,
            date.today(),
            shop=_shop(known),
            stock=stock,
            paper=_paper(known.paper),
            with_owner=known.owner_on_paper,
        )

    def ask_quote(self, shown: Quote) -> None:
        """Ask where to, then make the quote, if it is not made yet, and draw it."""
        from gearplan.sheet import painter

        def draw(path: Path) -> None:
            bike, numbered = self._made(shown)
            painter.save_quote(self._quote_sheet(bike, numbered), path)
            self._keep_quote(bike, numbered)

        self._files.ask_and_write(
            tr("Save the quote"), str(self._suggested(" quote.pdf")), _PAGES, draw, self._of_owner
        )

    def ask_quote_table(self, shown: Quote) -> None:
        """Ask where to, then make the quote and write it as a table."""

        from gearplan.plan.quote.csvtext import quote_csv

        def write(path: Path) -> None:
            bike, numbered = self._made(shown)
            replace_file(path, quote_csv(numbered).encode("utf-8-sig"))
            self._keep_quote(bike, numbered)

        self._files.ask_and_write(
            tr("Save the quote's table"), str(self._suggested(" quote.csv")), tr("Tables (*.csv)"), write
        )

    def print_quote(self, shown: Quote) -> None:
        """Ask for a printer, then make the quote and print it."""
        from gearplan.sheet import painter

        def drawing() -> Drawing:
            bike, numbered = self._made(shown)
            drawn = painter.quote_drawing(self._quote_sheet(bike, numbered))
            self._keep_quote(bike, numbered)
            return drawn

        self._print("Quote", self._remembered.look().paper, drawing)

    def customer_drawing(self, asked: Asked, stock: Stock | None) -> Drawing | None:
        """The page to take home as it would be printed; None for what cannot be drawn."""
        from gearplan.sheet import painter

        try:
            return painter.customer_drawing(self._customer_sheet(asked, stock))
        except (OSError, ValueError):
            return None

    def quote_drawing(self, shown: Quote) -> Drawing | None:
        """The quote as it would be printed, with a number only if it has one; None for what cannot be drawn."""
        from gearplan.sheet import painter

        try:
            return painter.quote_drawing(self._quote_sheet(self._document.bike, shown))
        except (OSError, ValueError):
            return None

    def _made(self, shown: Quote) -> tuple[Bike, Quote]:
        """(the bike with the quote made, the quote under its number); ValueError for a sum that cannot be meant."""
        from gearplan.plan.quote.quote import made

        number = shown.number
        if not number:
            self._remembered.keep(Settings.with_next_quote, quietly=True)
            number = f"{shown.day.year}-{self._remembered.now.last_quote:03d}"
        return made(self._document.bike, shown, number), replace(shown, number=number)

    def _keep_quote(self, bike: Bike, shown: Quote) -> None:
        self._document.edit(tr("Quote {number}", number=shown.number), bike)

    def _quote_sheet(self, bike: Bike, shown: Quote) -> QuoteSheet:
        from gearplan.sheet.quote.content import quote_sheet

        known = self._remembered.look()
        return quote_sheet(bike, shown, shop=_shop(known), paper=_paper(known.paper), with_owner=known.owner_on_paper)

    def _suggested(self, ending: str) -> Path:
        """A name to save under, in the shop's folder for pages if it has one."""
        usual = self._files.suggested(ending)
        folder = self._remembered.look().paper_folder
        return Path(folder).expanduser() / usual.name if folder else usual

    def ask_fitting_sheet(self, job: Job, filled: bool, paper: str, stock: Stock | None) -> None:
        """Ask where to, then draw the fitting sheet of a job into a PDF."""
        from gearplan.sheet import painter

        self._remembered.keep(partial(replace, paper=paper))
        name, _ = QFileDialog.getSaveFileName(
            self._window,
            tr("Save the fitting sheet"),
            str(self._suggested(tr(" fitting sheet.pdf"))),
            tr("PDF (*.pdf)"),
        )
        if not name:
            return
        path = Path(name) if name.lower().endswith(".pdf") else Path(f"{name}.pdf")
        try:
            painter.save_fitting_sheet(self._sheet(job, filled, paper, stock), path)
        except (OSError, ValueError) as failed:
            self._message.say(
                tr("Nothing written to {path}: {told_of}", path=path, told_of=told_of(failed, path)), wrong=True
            )
            return
        self._message.say_written(path)

    def print_fitting_sheet(self, job: Job, filled: bool, paper: str, stock: Stock | None) -> None:
        """Ask for a printer, then print the fitting sheet of a job."""
        from gearplan.sheet import painter

        self._remembered.keep(partial(replace, paper=paper))
        self._print(tr("Fitting sheet"), paper, lambda: painter.fitting_drawing(self._sheet(job, filled, paper, stock)))

    def label(self, job: Job, to_printer: bool) -> None:
        """Ask for a printer, or where to, then draw a job's label for bag or tank."""
        from gearplan.sheet import painter
        from gearplan.sheet.fitting.content import label_sheet

        sheet = label_sheet(self._document.bike, job, with_owner=self._remembered.look().owner_on_paper)
        if to_printer:
            self._print(tr("Label"), "", lambda: painter.label_drawing(sheet))
            return
        self._files.ask_and_write(
            tr("Save the label"),
            str(self._suggested(" label.pdf")),
            _PAGES,
            lambda path: painter.save_label(sheet, path),
            self._of_owner,
        )

    def _of_owner(self, path: Path) -> str:
        """What is to be said where a file leaves out what the shop wants on paper."""
        from gearplan.plan.words import whose
        from gearplan.sheet.painter import says_whose

        wanted = self._remembered.look().owner_on_paper and whose(self._document.bike)
        return OWNER_LEFT_OUT if wanted and not says_whose(path) else ""

    def _photos(self, job: Job) -> dict[str, bytes]:
        """The photos of a job that are there, where they are wanted on the sheet."""
        bike_file = self._document.path
        if bike_file is None or job.card.photos_printed != "yes":
            return {}
        found = {}
        for name, _ in job.photos:
            path = photo_path(bike_file, name)
            with contextlib.suppress(OSError):
                if path is not None and path.stat().st_size <= MOST_BYTES:
                    found[name] = path.read_bytes()
        return found

    def pit_board(self, board: PitBoard, to_printer: bool) -> None:
        """Ask for a printer, or where to, then draw the pit board."""
        from gearplan.sheet import painter

        if to_printer:
            self._print(tr("Pit board"), "A4", lambda: painter.pit_board_drawing(board))
            return
        self._files.ask_and_write(
            tr("Save the pit board"),
            str(self._suggested(tr(" pit board.pdf"))),
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
            self._print(tr("Sessions"), paper, lambda: painter.session_drawing(sheet))
            return
        self._files.ask_and_write(
            tr("Save the session sheet"),
            str(self._suggested(" sessions.pdf")),
            _PAGES,
            lambda path: painter.save_session_sheet(sheet, path),
        )

    def _print(self, name: str, paper: str, drawing: Callable[[], Drawing]) -> None:
        """Ask for a printer, then print; on the size of a label where no `paper` is named."""
        from PySide6.QtCore import QSizeF
        from PySide6.QtGui import QPageSize
        from PySide6.QtPrintSupport import QPrintDialog, QPrinter

        from gearplan.sheet.shop import LABEL

        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        label = QPageSize(QSizeF(*LABEL), QPageSize.Unit.Point, tr("Label"))
        printer.setPageSize(QPageSize(getattr(QPageSize.PageSizeId, paper)) if paper else label)
        printer.setFullPage(True)
        printer.setDocName(f"{name}, {self._document.bike.name or 'bike'}")
        dialog = QPrintDialog(printer, self._window)
        agreed = dialog.exec() == QPrintDialog.DialogCode.Accepted
        dialog.deleteLater()
        if not agreed:
            return
        try:
            drawing().draw_pages(printer)
        except (OSError, ValueError) as failed:
            self._message.say(tr("Nothing printed: {told_of}", told_of=told_of(failed, Path())), wrong=True)
            return
        wrong = printer.printerState() == QPrinter.PrinterState.Error
        self._message.say(tr("The printer reports an error.") if wrong else tr("Sent to the printer."), wrong=wrong)

    def _sheet(self, job: Job, filled: bool, paper: str, stock: Stock | None) -> FittingSheet:
        from gearplan.sheet.fitting.content import fitting_sheet

        known = self._remembered.look()
        return fitting_sheet(
            self._document.bike,
            job,
            filled=filled,
            paper=_paper(paper),
            stock=stock,
            with_owner=known.owner_on_paper,
            shop=_shop(known),
            photos=self._photos(job),
            currency=self.terms().currency,
        )


def _shop(known: Settings) -> Shop:
    """The shop with its logo; OSError or ValueError where that is no picture."""
    from gearplan.sheet.shop import Shop, address_lines, logo_bytes

    return Shop(known.shop_name, address_lines(known.shop_address), logo_bytes(known.shop_logo))


def _paper(name: str) -> Paper:
    return "Letter" if name == "Letter" else "A4"
