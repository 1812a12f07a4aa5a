"""The main window: menus, the set bar, the rail of pages, messages, and the guard over unsaved work."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QPoint, QRect, QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QGuiApplication, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QApplication,
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QTableView,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.language import tr
from gearplan.plan.words import teeth
from gearplan.sheet.handbook.chapters import OF_PAGE
from gearplan.window.document.document import Document
from gearplan.window.frame.areas import Areas
from gearplan.window.frame.athand import AtHand
from gearplan.window.frame.counter import Counter
from gearplan.window.frame.menus.menubar import MenuWindow
from gearplan.window.frame.message import MessageStrip
from gearplan.window.frame.opening.circuitfiles import CircuitFiles
from gearplan.window.frame.opening.dropping import files_in, take
from gearplan.window.frame.opening.files import Files
from gearplan.window.frame.opening.papers import Papers
from gearplan.window.frame.pagehost import NEW_BIKE, PAGES
from gearplan.window.frame.rail import Rail
from gearplan.window.frame.settings import Remembered, Settings, ViewKeeper
from gearplan.window.kit import theme
from gearplan.window.kit.places.layout import rescale
from gearplan.window.kit.places.twosides import TwoSides, seam, set_seam
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.view import View

if TYPE_CHECKING:
    from gearplan.window.handbook.view import Handbook

#: The least size of the window, and what a desktop draws around it before that can be measured.
_LEAST = (720, 440)
FRAME = QSize(12, 38)
#: The pages whose charts share the cursor.
_WITH_CURSOR = ("Speed", "Pull")
#: The pages that draw faster while a slider is held.
_HELD = ("Speed", "Chain", "Pull", "Circuit")
#: The pages on which no other set is tried, the one of a job whose set is agreed, and the one that a customer reads.
_NOTHING_TRIED = ("Bike", "Fitting", "Ride log", "All bikes", "Customer")
_AT_THE_BENCH = "Fitting"
_TELLS_CAUTIONS = "Customer"
#: The widest that the bike's name stands beside the menus, at the usual size of text.
_NAME = 260
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class Workbench(MenuWindow):
    """Holds the document and shows it. The pages are made after the first paint, so that the window comes fast."""

    def __init__(self, settings: Settings) -> None:
        super().__init__()
        self._pages_made = False
        self.document = Document(self)
        self.view = View(settings.units, self)
        self.setMinimumSize(*_LEAST)
        self.setAcceptDrops(True)
        self.resize(settings.width, settings.height)
        self._frame()
        self.remembered = Remembered(settings, self._settings_refused)
        self._view_keeper = ViewKeeper(self.view, self.remembered, self)
        self.files = Files(self, self.document, self.message, self.remembered)
        self.files.starting.connect(self._another_bike)
        self.papers = Papers(self, self.document, self.message, self.files, self.remembered)
        self.circuits = CircuitFiles(self, self.document, self.message, self.files)
        set_seam(settings.seam)
        self.counter = Counter(self)
        self.files.keep_asked.connect(self.counter.keep_proposal)
        self.at_hand = AtHand(self, self.message, self.files)
        self._menus(settings)
        self.document.changed.connect(self._document_changed)
        self.document.file_changed.connect(self._show_title)
        self.document.started.connect(self.counter.take_up)
        self.view.changed.connect(self._view_changed)
        self._handbook: Handbook | None = None
        self._stale: set[str] = {*PAGES, NEW_BIKE}
        self._cursor_seen = self.view.cursor
        theme.dress(self)

    # The frame: everything that does not need numpy or the charts.

    def _frame(self) -> None:
        middle = QWidget()
        column = QVBoxLayout(middle)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        self._bar_place = QVBoxLayout()
        column.addLayout(self._bar_place)
        row = QHBoxLayout()
        row.setSpacing(theme.UNIT)
        self.rail = Rail()
        self.rail.go("Speed")
        self.rail.itemSelectionChanged.connect(self._show_page)
        self.stack = QStackedWidget()
        row.addWidget(self.rail)
        row.addWidget(self.stack, 1)
        column.addLayout(row, 1)
        self.setCentralWidget(middle)
        self.message = MessageStrip(self)

    def fit_to_screen(self) -> None:
        """Become small enough for the screen at hand."""
        self.fit_to(self.screen().availableGeometry())

    def stand_where_it_stood(self) -> None:
        """Where the window was when it was closed, if a screen is still there."""
        now = self.remembered.now
        at = QPoint(now.left, now.top)
        if now.left >= 0 <= now.top and any(s.availableGeometry().contains(at) for s in QGuiApplication.screens()):
            self.move(at)
        self.fit_to_screen()

    def fit_to(self, available: QRect) -> None:
        """Become small enough for a screen, with the frame that the desktop draws around the window."""
        frame = self.frameGeometry().size() - self.size() if self.isVisible() else QSize(0, 0)
        room = available.size() - frame.expandedTo(FRAME)
        self.setMinimumSize(QSize(*_LEAST).boundedTo(room))
        if not (self.isMaximized() or self.isFullScreen()):
            self.resize(self.size().boundedTo(room))
            if self.isVisible() and not available.contains(self.frameGeometry()):
                self.move(available.topLeft())

    def make_pages(self) -> None:
        """Make the set bar and the page in sight; called once, after the window has been shown."""
        from gearplan.window.frame.bar.setbar import SetBar

        self.bar = SetBar(self.document, self.view)
        self.bar.how_asked.connect(self.ask_how)
        self.bar.field_wanted.connect(self.show_field)
        self.bar.invites = not self.remembered.now.tried_a_set
        self.bar.tried.connect(self._tried_a_set)
        self.bar.invitation.wished.connect(self._wished)
        self.bar.invitation.words_wanted.connect(self._ask_in_words)
        self._bar_place.addWidget(self.bar)
        self._bar_place.addWidget(self.bar.slim)
        for slider in self.bar.sliders.values():
            slider.sliderPressed.connect(self._hold_chart)
            slider.sliderReleased.connect(self._release_chart)
        self.areas = Areas(self, self._areas_in_sight)
        self._pages_made = True
        self.bar.fit(self.size())
        self._document_changed()
        self._view_keeper.last_stock.open()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The set bar folds where the window is low."""
        super().resizeEvent(event)
        if self._pages_made:
            self.bar.fit(self.size())

    def event(self, event: QEvent) -> bool:
        """The desktop's size of text, or its colours, may have changed."""
        if event.type() == QEvent.Type.ThemeChange:
            self.dress()
        return super().event(event)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Files may be dropped anywhere in the window."""
        if files_in(event.mimeData()):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Each goes where it belongs, once the other program has been told that it was taken."""
        event.acceptProposedAction()
        for path in files_in(event.mimeData()):
            QTimer.singleShot(0, self, partial(take, self, path))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Where nobody else wants them, Escape closes the message and Enter presses the button at hand."""
        if event.key() == Qt.Key.Key_Escape and self.message.isVisible():
            self.message.hide()
            return
        at = self.focusWidget()
        if event.key() in _ENTER and isinstance(at, (QPushButton, QToolButton)) and at.isEnabled():
            if not event.isAutoRepeat():
                at.click()
            return
        super().keyPressEvent(event)

    # Showing what has changed.

    def _document_changed(self) -> None:
        undo, redo = self.document.undo_label, self.document.redo_label
        self.undo_action.setEnabled(undo is not None)
        self.redo_action.setEnabled(redo is not None)
        self.undo_action.setText(tr("&Undo: {undo}", undo=undo) if undo else tr("&Undo"))
        self.redo_action.setText(tr("&Redo: {redo}", redo=redo) if redo else tr("&Redo"))
        self._show_title()
        if self._pages_made:
            self.bar.refresh()
            self._stale = {*PAGES, NEW_BIKE}
            self._refresh_page()

    def _settings_refused(self, told: str) -> None:
        self.message.say(told, wrong=True)

    def _view_changed(self) -> None:
        self.show_units()
        if not self._pages_made:
            return
        name = self.in_sight
        if self.view.cursor != self._cursor_seen and name in _WITH_CURSOR:
            self._cursor_seen = self.view.cursor
            self._stale.update(_WITH_CURSOR)
            self._stale.discard(name)
            self.page(name).refresh_cursor()
            return
        self.bar.refresh()
        self._stale = {*PAGES, NEW_BIKE}
        self._refresh_page()

    def _refresh_page(self) -> None:
        """Only the page in sight is brought up to date; the others when they are shown."""
        name = self.in_sight
        page = self.page(name)
        self.stack.setCurrentWidget(page)
        if name in self._stale:
            self._stale.discard(name)
            page.refresh()

    def _show_page(self) -> None:
        if self.rail.selectedItems():
            self._asking = False
        elif not self._asking:
            # A click with Ctrl takes the selection away: the page stays, and so does its mark.
            self.rail.currentItem().setSelected(True)
        if self._pages_made:
            self._show_bar()
            self._refresh_page()

    def _show_bar(self) -> None:
        """One row where no set is tried; at the bench the set of the job is not moved by chance."""
        name = self.in_sight
        if not self.round.on:
            silent = name == _TELLS_CAUTIONS
            self.bar.show_as(slim=name in _NOTHING_TRIED, still=name == _AT_THE_BENCH, silent=silent)

    def _tried_a_set(self) -> None:
        self.bar.invites = False
        self.remembered.keep(partial(replace, tried_a_set=True), quietly=True)

    def _wished(self, wish: str) -> None:
        """Propose at once what serves a wish best; where none does, the page of wishes says why."""
        from gearplan.plan.choices.first import first_proposal

        chosen = first_proposal(self.document.bike, wish, self.view.stock)
        if chosen is None:
            self._ask_in_words()
            return
        self.document.propose(chosen, tr("Propose {teeth}, {wish}", teeth=teeth(chosen), wish=wish))

    def _ask_in_words(self) -> None:
        self.show_page("Choices")

    def _show_title(self) -> None:
        path, bike = self.document.path, self.document.bike
        told = bike.name or tr("Unnamed bike")
        short = self.bike_name.fontMetrics().elidedText(told, Qt.TextElideMode.ElideRight, theme.px(_NAME))
        if short != self.bike_name.text():
            self.bike_name.setText(short)
            self.bike_name.setToolTip(plain(told) if short != told else "")
            # The row of menus looks at its corner's size only then.
            self.menuBar().setCornerWidget(self.bike_name)
        name = path.name if path else told
        self.setWindowTitle(tr("{name}[*] – Gearplan", name=name))
        self.setWindowModified(self.document.unsaved)

    def _hold_chart(self) -> None:
        for page in self.made(*_HELD):
            page.hold(True)

    def _release_chart(self) -> None:
        for page in self.made(*_HELD):
            page.hold(False)

    def _another_bike(self) -> None:
        self.view.forget_ranges()
        for page in self.made(
            "Bike",
            "Chain",
            "Pull",
            "Circuit",
            "Choices",
            "Customer",
            "Quote",
            "Fitting",
            NEW_BIKE,
        ):
            page.forget()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Guard unsaved work, then remember how the window was."""
        books = [page.book for page in self.made("Circuit")]
        if not (self.files.may_leave() and self.circuits.may_leave() and all(book.may_leave() for book in books)):
            event.ignore()
            return
        size = self.normalGeometry().size() if self.isMaximized() else self.size()
        at = self.normalGeometry().topLeft() if self.isMaximized() else self.pos()
        path = self.document.path
        where = partial(replace, left=at.x(), top=at.y(), page=self.rail.page, last_bike=str(path or ""))
        self.remembered.keep(where, quietly=True)
        self._view_keeper.finish()
        self.remembered.keep(
            partial(
                replace, width=size.width(), height=size.height(), maximised=self.isMaximized(), seam=round(seam(), 3)
            ),
            quietly=True,
        )
        for page in self.made("Bike", "Circuit", "Choices", "Fitting", "Ride log", "All bikes"):
            page.finish()
        self.files.close()
        event.accept()

    # The page for the customer alone.

    def _hidden_for_customer(self) -> tuple[QWidget, ...]:
        return (self.menuBar(), self.bar, self.bar.slim, self.rail, self.message)

    def _show_round(self, on: bool) -> None:
        if on:
            self.show_page("Customer")
        self.customer_page.show_full_screen(on)

    # Questions, appearance.

    def _how_at_hand(self) -> None:
        at = QApplication.focusWidget()
        if isinstance(at, QTableView) and hasattr(at, "ask_at_hand"):
            at.ask_at_hand()
        elif not any(page.isVisible() and page.how_to_measure() for page in self.made("Bike", "Chain", NEW_BIKE)):
            self._show_handbook()

    def _show_handbook(self) -> None:
        from gearplan.window.handbook.view import Handbook

        if self._handbook is None:
            self._handbook = Handbook(self)
        self._handbook.open_at(*OF_PAGE[self.in_sight])

    def _areas_in_sight(self) -> list[QWidget]:
        """The page's own parts, then the message, the list of pages, both sets and what is said of them."""
        page = self.stack.currentWidget()
        sides = page.findChild(TwoSides) if page is not None else None
        parts = [sides.split.widget(0), sides.split.widget(1)] if sides is not None else [page]
        areas = [*parts, self.message, self.rail, self.bar, self.bar.verdict, self.bar.slim]
        return [area for area in areas if area is not None and area.isVisible()]

    def _next_area(self) -> None:
        self.areas.go(1)

    def _previous_area(self) -> None:
        self.areas.go(-1)

    def _step_teeth(self) -> None:
        part, by = self.sender().data()  # type: ignore[attr-defined]
        if self.in_sight == _AT_THE_BENCH:
            self.message.say(tr("The set of a job stays as it is on the Fitting page. Change it on the Speed page."))
            return
        self.bar.step(part, by)

    def _page_asked(self) -> None:
        if self.round.on:
            self.round.turn()
        self.show_page(self.sender().data())  # type: ignore[attr-defined]

    def dress(self) -> None:
        """Apply the wanted appearance to everything."""
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        theme.set_scale(self.remembered.now.text_size)
        theme.apply(app, theme.wanted(self.remembered.now.appearance))
        rescale(self)
        self.rail.dress()
        if self._pages_made:
            self.bar.fit(self.size())
        for page in self.made():
            page.recolour()
