"""The pages of the window: made when they are first wanted, gone to by name or by the field that somebody asks for."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QMainWindow, QStackedWidget

from gearplan.bike.files.ownfolders import state_folder
from gearplan.language import marked
from gearplan.setup.basics import BASICS, blank_basics
from gearplan.window.document.document import Document
from gearplan.window.frame.counter import Counter
from gearplan.window.frame.firstpaint import FirstPaint
from gearplan.window.frame.fullscreen import TurnRound
from gearplan.window.frame.message import MessageStrip
from gearplan.window.frame.opening.circuitfiles import CircuitFiles
from gearplan.window.frame.opening.files import Files
from gearplan.window.frame.opening.papers import Papers
from gearplan.window.frame.rail import Rail
from gearplan.window.frame.settings import Remembered, Settings
from gearplan.window.kit.view import View

if TYPE_CHECKING:
    from gearplan.bike.circuit import Circuit
    from gearplan.bike.work.job import Job
    from gearplan.plan.customer.page import Customer
    from gearplan.plan.set.how.explanation import Explanation
    from gearplan.sheet.customer.rows import Row
    from gearplan.sheet.painter import Drawing
    from gearplan.window.bike.page import BikePage
    from gearplan.window.chain.page import ChainPage
    from gearplan.window.choices.page import ChoicesPage
    from gearplan.window.circuit.page import CircuitPage
    from gearplan.window.customer.page import CustomerPage
    from gearplan.window.fitting.page import FittingPage
    from gearplan.window.newbike.page import NewBikePage
    from gearplan.window.pull.page import PullPage
    from gearplan.window.quote.page import QuotePage
    from gearplan.window.ridelog.page import RideLogPage
    from gearplan.window.shelf.page import ShelfPage
    from gearplan.window.speed.page import SpeedPage

PAGES = (
    marked("Bike"), marked("Speed"), marked("Chain"), marked("Pull"),
    marked("Circuit"), marked("Choices"), marked("Customer"), marked("Quote"),
    marked("Fitting"), marked("Ride log"), marked("All bikes"),
)  # fmt: skip
#: The page that a new bike begins with; it does not stand in the rail.
NEW_BIKE = marked("New bike")
#: A bike that lacks so many of the basics is asked for them together.
_BEGUN = 3
#: The pages that hold fields of the profile.
WITH_FIELDS = ("Bike", "Pull", "Chain", "Fitting")


def _attribute(name: str) -> str:
    return f"{name.lower().replace(' ', '_')}_page"


class PageHost(QMainWindow):
    """The window as far as its pages need it; who derives from it makes the frame, the menus and the files."""

    #: The charts, which come last, are there.
    charts_made = Signal()

    document: Document
    view: View
    files: Files
    papers: Papers
    remembered: Remembered
    circuits: CircuitFiles
    message: MessageStrip
    counter: Counter
    round: TurnRound
    rail: Rail
    stack: QStackedWidget
    #: The basics of a new bike are asked for; no page of the rail is in sight.
    _asking = False

    @cached_property
    def speed_page(self) -> SpeedPage:
        """The Speed page, made when it is first wanted."""
        from gearplan.window.speed.page import SpeedPage

        page = SpeedPage(self.document, self.view)
        page.how_asked.connect(self.ask_how)
        page.customer_wanted.connect(self._show_customer)
        self.stack.addWidget(page)
        page.field_wanted.connect(self.show_field)
        FirstPaint(page.grid.viewport()).painted.connect(self._make_chart)
        return page

    def _make_chart(self) -> None:
        self.speed_page.make_chart()
        self.charts_made.emit()

    @cached_property
    def bike_page(self) -> BikePage:
        """The Bike page, made when it is first wanted."""
        from gearplan.window.bike.page import BikePage

        page = BikePage(self.document)
        page.basics_asked.connect(self.ask_basics)
        page.show_owner_on_paper(self.remembered.look().owner_on_paper)
        page.owner_on_paper.connect(self._print_owner)
        self.stack.addWidget(page)
        return page

    @cached_property
    def new_bike_page(self) -> NewBikePage:
        """What is asked first of a new bike, made when it is first wanted."""
        from gearplan.window.newbike.page import NewBikePage

        page = NewBikePage(self.document, self.view)
        page.answer_asked.connect(self._show_answer)
        page.left.connect(self._leave_basics)
        self.stack.addWidget(page)
        return page

    @cached_property
    def chain_page(self) -> ChainPage:
        """The Chain page, made when it is first wanted."""
        from gearplan.window.chain.page import ChainPage

        page = ChainPage(self.document)
        page.how_asked.connect(self.ask_how)
        page.export_asked.connect(self.files.ask_chain_drawing)
        page.field_wanted.connect(self.show_field)
        self.stack.addWidget(page)
        return page

    @cached_property
    def pull_page(self) -> PullPage:
        """The Pull page, made when it is first wanted."""
        from gearplan.window.pull.page import PullPage

        page = PullPage(self.document, self.view)
        page.explained.connect(self._show_how)
        page.customer_wanted.connect(self._show_customer)
        page.field_wanted.connect(self.show_field)
        self.stack.addWidget(page)
        return page

    @cached_property
    def circuit_page(self) -> CircuitPage:
        """The Circuit page, made when it is first wanted."""
        from gearplan.window.circuit.page import CircuitPage

        page = CircuitPage(self.document, self.view)
        page.field_wanted.connect(self.show_field)
        page.open_asked.connect(self.circuits.ask_open)
        page.demo_asked.connect(self.circuits.open_demo)
        page.new_asked.connect(self.circuits.new)
        page.save_asked.connect(self._save_circuit)
        page.table_ready.connect(self.circuits.export_table)
        page.page_ready.connect(self.circuits.export_page)
        page.board_ready.connect(self.papers.pit_board)
        page.sessions_asked.connect(self.papers.session_sheet)
        page.bike_save_asked.connect(self._save_bike)
        page.told.connect(self._say)
        self.stack.addWidget(page)
        return page

    @cached_property
    def choices_page(self) -> ChoicesPage:
        """The Choices page, made when it is first wanted."""
        from gearplan.window.choices.page import ChoicesPage

        page = ChoicesPage(self.document, self.view)
        page.field_wanted.connect(self.show_field)
        page.customer_wanted.connect(self._show_customer)
        self.stack.addWidget(page)
        return page

    @cached_property
    def customer_page(self) -> CustomerPage:
        """The Customer page, made when it is first wanted."""
        from gearplan.window.customer.page import CustomerPage

        page = CustomerPage(self.document, self.view)
        page.field_wanted.connect(self.show_field)
        page.full_screen_asked.connect(self.round.turn)
        page.page_asked.connect(self._ask_customer_page)
        page.print_asked.connect(self._print_customer_page)
        page.copy_asked.connect(self._copy_customer_page)
        page.pin_asked.connect(self.counter.keep_proposal)
        self.stack.addWidget(page)
        return page

    @cached_property
    def quote_page(self) -> QuotePage:
        """The Quote page, made when it is first wanted."""
        from gearplan.window.quote.page import QuotePage

        page = QuotePage(self.document, self.view)
        page.terms = self.papers.terms()
        page.drawn = self.papers.quote_drawing
        page.drawn_home = self._page_to_take_home
        page.told_customer = self._told_customer
        page.pin_asked.connect(self.counter.keep_proposal)
        page.shop_asked.connect(self.counter.ask_shop)
        page.save_asked.connect(self.papers.ask_quote)
        page.print_asked.connect(self.papers.print_quote)
        page.table_asked.connect(self.papers.ask_quote_table)
        page.job_asked.connect(self.counter.begin_job)
        self.stack.addWidget(page)
        return page

    @cached_property
    def fitting_page(self) -> FittingPage:
        """The Fitting page, made when it is first wanted."""
        from gearplan.window.fitting.page import FittingPage

        page = FittingPage(self.document, self.view)
        page.show_paper(self.remembered.look().paper)
        page.sheet_asked.connect(self._ask_fitting_sheet)
        page.print_asked.connect(self._print_fitting_sheet)
        page.label_asked.connect(self.papers.label)
        page.open_asked.connect(self.files.open_recent)
        self.stack.addWidget(page)
        return page

    @cached_property
    def ride_log_page(self) -> RideLogPage:
        """The Ride log page, made when it is first wanted."""
        from gearplan.window.ridelog.page import RideLogPage

        page = RideLogPage(self.document, self.view)
        page.told.connect(self._say)
        page.circuit_wanted.connect(self._rank_own_lap)
        self.stack.addWidget(page)
        return page

    @cached_property
    def all_bikes_page(self) -> ShelfPage:
        """The page of all bikes, made when it is first wanted."""
        from gearplan.window.shelf.page import ShelfPage

        page = ShelfPage(self.document, state_folder() / "bikes.sqlite", self._bike_folders)
        page.open_asked.connect(self._open_listed)
        page.demo_asked.connect(self._open_demo_bike)
        page.folder_added.connect(self._list_folder)
        page.folder_removed.connect(self._unlist_folder)
        self.stack.addWidget(page)
        return page

    def page(self, name: str) -> Any:
        """A page by its name; made now if it is wanted for the first time."""
        return getattr(self, _attribute(name))

    def made(self, *names: str) -> list[Any]:
        """Those of the pages named, or of all, that have been made."""
        wanted = [_attribute(name) for name in names or (*PAGES, NEW_BIKE)]
        return [self.__dict__[name] for name in wanted if name in self.__dict__]

    @property
    def in_sight(self) -> str:
        """The name of the page that is shown."""
        if self._asking:
            return NEW_BIKE
        return self.rail.page

    def show_page(self, name: str) -> None:
        """Go to a page by its name."""
        self.rail.go(name)

    def ask_basics(self, place: str = "") -> None:
        """Ask for what is still blank of a new bike, this place first if one is named."""
        self._asking = True
        self.rail.clearSelection()
        self.new_bike_page.begin(place)

    def _leave_basics(self) -> None:
        self.show_page(self.rail.page)

    def _show_answer(self) -> None:
        self.show_page("Speed")

    def show_field(self, path: str) -> None:
        """Go to a field of the profile, named "section.key"; a bike that is hardly begun is asked for all basics."""
        if path in BASICS and len(blank_basics(self.document.bike)) > _BEGUN:
            self.ask_basics(path)
            return
        for name in WITH_FIELDS:
            page = self.page(name)
            if page.holds(path):
                self.show_page(name)
                page.show_field(path)
                return

    def ask_how(self, what: str, gear: int = 1) -> None:
        """Explain a number."""
        from gearplan.plan.set.how.numbers import explain

        self._show_how(explain(what, self.document.bike, self.document.chosen, gear=gear, cursor=self.view.cursor))

    def _show_how(self, said: Explanation) -> None:
        from gearplan.window.frame.how import HowPanel

        HowPanel(said, self).show()

    def _ask_fitting_sheet(self, job: Job, filled: bool, paper: str) -> None:
        self.papers.ask_fitting_sheet(job, filled, paper, self.view.stock)

    def _print_fitting_sheet(self, job: Job, filled: bool, paper: str) -> None:
        self.papers.print_fitting_sheet(job, filled, paper, self.view.stock)

    def _open_listed(self, path: Path) -> None:
        self.files.open_recent(path)
        if self.document.path == path:
            self.show_page("Bike")

    def _open_demo_bike(self, name: str) -> None:
        before = self.document.bike
        self.files.open_demo(name)
        if self.document.bike is not before:
            self.show_page("Bike")

    def _list_folder(self, folder: Path) -> None:
        self.remembered.keep(partial(Settings.with_folder, folder=folder))
        self.all_bikes_page.refresh()

    def _unlist_folder(self, folder: Path) -> None:
        self.remembered.keep(partial(Settings.without_folder, folder=folder))
        self.all_bikes_page.refresh()

    def _bike_folders(self) -> tuple[Path, ...]:
        return tuple(map(Path, self.remembered.look().bike_folders))

    def _print_owner(self, on: bool) -> None:
        self.remembered.keep(partial(replace, owner_on_paper=on))

    def _say(self, text: str, wrong: bool) -> None:
        self.message.say(text, wrong=wrong)

    def _save_bike(self) -> None:
        if self.files.save():
            self.page("Circuit").refresh()

    def _save_circuit(self, another: bool) -> None:
        if another:
            self.circuits.save_as()
        else:
            self.circuits.save(wait=False)

    def _rank_own_lap(self, circuit: Circuit) -> None:
        if self.circuits.take(circuit):
            self.show_page("Circuit")

    def _show_customer(self) -> None:
        self.show_page("Customer")

    def _told_customer(self) -> tuple[Customer, tuple[Row, ...]]:
        return self.customer_page.told()

    def _page_to_take_home(self) -> Drawing | None:
        return self.papers.customer_drawing(self.customer_page.asked, self.view.stock)

    def _ask_customer_page(self) -> None:
        self.papers.ask_customer_page(self.customer_page.asked, self.view.stock)

    def _print_customer_page(self) -> None:
        self.papers.print_customer_page(self.customer_page.asked, self.view.stock)

    def _copy_customer_page(self) -> None:
        self.papers.copy_customer_page(self.customer_page.asked, self.view.stock)
