"""The main window: menus, the set bar, the rail of pages, messages, and the guard over unsaved work."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QAction, QActionGroup, QCloseEvent, QKeySequence
from PySide6.QtWidgets import (
    QApplication,
    QFileDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QMainWindow,
    QMenu,
    QMessageBox,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from gearplan import __version__
from gearplan.bike import bikefile, library
from gearplan.bike.demo import demo_bike
from gearplan.bike.profile import Bike
from gearplan.plan.driveset import DriveSet
from gearplan.window import rescue, theme
from gearplan.window import settings as remembered
from gearplan.window.document import Document
from gearplan.window.firstpaint import FirstPaint
from gearplan.window.message import MessageStrip
from gearplan.window.view import View

if TYPE_CHECKING:
    from gearplan.window.pages.bike import BikePage
    from gearplan.window.pages.chain import ChainPage
    from gearplan.window.pages.speed import SpeedPage

_FILTER = "Bikes (*.bike.toml);;All files (*)"
_SUFFIX = ".bike.toml"
_KEEP_AFTER_MS = 1500
PAGES = ("Bike", "Speed", "Chain")


class Workbench(QMainWindow):
    """Holds the document and shows it. The pages are made after the first paint, so that the window comes fast."""

    #: The charts, which come last, are there.
    charts_made = Signal()

    def __init__(self, settings: remembered.Settings) -> None:
        super().__init__()
        self.settings = settings
        self.document = Document(self)
        self.view = View(settings.speed_unit, self)
        self.setMinimumSize(960, 620)
        self.resize(settings.width, settings.height)
        self._menus()
        self._frame()
        self.document.changed.connect(self._document_changed)
        self.document.file_changed.connect(self._file_changed)
        self.view.changed.connect(self._view_changed)
        self._keep_timer = QTimer(self)
        self._keep_timer.setSingleShot(True)
        self._keep_timer.setInterval(_KEEP_AFTER_MS)
        self._keep_timer.timeout.connect(self._keep_aside)
        self.message.taken.connect(self._open_rescued)
        self._pages_made = False
        self._stale: set[str] = set(PAGES)
        self._cursor_seen = self.view.cursor

    # The frame: everything that does not need numpy or the charts.

    def _frame(self) -> None:
        middle = QWidget()
        column = QVBoxLayout(middle)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        self.message = MessageStrip()
        column.addWidget(self.message)
        self._bar_place = QVBoxLayout()
        column.addLayout(self._bar_place)
        row = QHBoxLayout()
        row.setSpacing(theme.UNIT)
        self.rail = QListWidget()
        self.rail.setObjectName("rail")
        self.rail.setAccessibleName("Pages")
        for name in PAGES:
            item = QListWidgetItem(name, self.rail)
            # Fixed, since the view measures before it knows the style sheet.
            item.setSizeHint(QSize(0, 4 * theme.UNIT + 2))
        self.rail.setFixedWidth(104)
        self.rail.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.rail.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.rail.setCurrentRow(PAGES.index("Speed"))
        self.rail.currentRowChanged.connect(self._show_page)
        self.stack = QStackedWidget()
        row.addWidget(self.rail)
        row.addWidget(self.stack, 1)
        column.addLayout(row, 1)
        self.setCentralWidget(middle)

    def make_pages(self) -> None:
        """Make the set bar and the page in sight; called once, after the window has been shown."""
        from gearplan.window.setbar import SetBar

        self.bar = SetBar(self.document, self.view)
        self.bar.how_asked.connect(self.ask_how)
        self._bar_place.addWidget(self.bar)
        for slider in self.bar.sliders.values():
            slider.sliderPressed.connect(self._hold_chart)
            slider.sliderReleased.connect(self._release_chart)
        self._pages_made = True
        self._document_changed()

    @cached_property
    def speed_page(self) -> SpeedPage:
        """The Speed page, made when it is first wanted."""
        from gearplan.window.pages.speed import SpeedPage

        page = SpeedPage(self.document, self.view)
        page.how_asked.connect(self.ask_how)
        self.stack.addWidget(page)
        FirstPaint(page.grid.viewport()).painted.connect(self._make_chart)
        return page

    def _make_chart(self) -> None:
        self.speed_page.make_chart()
        self.charts_made.emit()

    @cached_property
    def bike_page(self) -> BikePage:
        """The Bike page, made when it is first wanted."""
        from gearplan.window.pages.bike import BikePage

        page = BikePage(self.document)
        self.stack.addWidget(page)
        return page

    @cached_property
    def chain_page(self) -> ChainPage:
        """The Chain page, made when it is first wanted."""
        from gearplan.window.pages.chain import ChainPage

        page = ChainPage(self.document)
        page.how_asked.connect(self.ask_how)
        page.export_asked.connect(self.ask_drawing)
        self.stack.addWidget(page)
        return page

    def _page(self, name: str) -> BikePage | SpeedPage | ChainPage:
        page: BikePage | SpeedPage | ChainPage = getattr(self, f"{name.lower()}_page")
        return page

    def _made(self, name: str) -> bool:
        return f"{name.lower()}_page" in self.__dict__

    def _menus(self) -> None:
        keys = QKeySequence.StandardKey
        file = self.menuBar().addMenu("&File")
        self._add(file, "&New bike", self.new, keys.New)
        self._add(file, "&Open…", self.ask_open, keys.Open)
        self.recent_menu = file.addMenu("Open &recent")
        self.recent_menu.aboutToShow.connect(self._fill_recent)
        self.demo_menu = file.addMenu("Open a &demo bike")
        for name in library.demo_bikes():
            self._add(self.demo_menu, name.replace("&", "&&"), self._open_demo).setData(name)
        file.addSeparator()
        self.save_action = self._add(file, "&Save", self.save, keys.Save)
        self._add(file, "Save &as…", self.save_as, keys.SaveAs)
        file.addSeparator()
        self._add(file, "Save speed &picture…", self.ask_picture, "Ctrl+P")
        self._add(file, "&Copy speed picture", self.copy_picture, "Ctrl+Shift+C")
        file.addSeparator()
        self._add(file, "&Quit", self.close, keys.Quit)
        edit = self.menuBar().addMenu("&Edit")
        self.undo_action = self._add(edit, "&Undo", self.document.undo, keys.Undo)
        self.redo_action = self._add(edit, "&Redo", self.document.redo, keys.Redo)
        edit.addSeparator()
        for label, shortcut, part, by in (
            ("Front sprocket one tooth &smaller", "Alt+Left", "front", -1),
            ("Front sprocket one tooth &larger", "Alt+Right", "front", 1),
            ("Rear sprocket one tooth s&maller", "Alt+Down", "rear", -1),
            ("Rear sprocket one tooth la&rger", "Alt+Up", "rear", 1),
        ):
            self._add(edit, label, self._step_teeth, shortcut).setData((part, by))
        view = self.menuBar().addMenu("&View")
        for number, name in enumerate(PAGES, 1):
            self._add(view, f"&{name}", self._page_asked, f"Ctrl+{number}").setData(number - 1)
        view.addSeparator()
        self._choices(view, remembered.SPEED_UNITS, self.settings.speed_unit, self._unit_asked, "Speeds in {}")
        view.addSeparator()
        self._choices(view, remembered.APPEARANCES, self.settings.appearance, self._appearance_asked, "Appearance: {}")
        help_menu = self.menuBar().addMenu("&Help")
        self._add(help_menu, "&How is the number at hand computed?", self._how_at_hand, "F1")
        self._add(help_menu, "&Safety and limits", self.show_cautions)
        self._add(help_menu, "&About Gearplan", self.show_about)

    def _add(
        self,
        menu: QMenu,
        label: str,
        slot: Callable[[], object],
        shortcut: str | QKeySequence.StandardKey | None = None,
    ) -> QAction:
        action = QAction(label, self)
        action.triggered.connect(slot)
        if shortcut is not None:
            action.setShortcut(shortcut)
        menu.addAction(action)
        return action

    def _choices(self, menu: QMenu, words: tuple[str, ...], now: str, slot: Callable[[], object], label: str) -> None:
        group = QActionGroup(self)
        for word in words:
            action = self._add(menu, label.format(word), slot)
            action.setCheckable(True)
            action.setChecked(word == now)
            action.setData(word)
            group.addAction(action)

    # What changes reaches the eye here.

    def _document_changed(self) -> None:
        undo, redo = self.document.undo_label, self.document.redo_label
        self.undo_action.setEnabled(undo is not None)
        self.redo_action.setEnabled(redo is not None)
        self.undo_action.setText(f"&Undo: {undo}" if undo else "&Undo")
        self.redo_action.setText(f"&Redo: {redo}" if redo else "&Redo")
        if self.document.unsaved:
            self._keep_timer.start()
        self._show_title()
        if self._pages_made:
            self.bar.refresh()
            self._stale = set(PAGES)
            self._refresh_page()

    def _view_changed(self) -> None:
        if not self._pages_made:
            return
        if self.view.cursor != self._cursor_seen and self._made("Speed"):
            self._cursor_seen = self.view.cursor
            self.speed_page.refresh_cursor()
            return
        self.bar.refresh()
        self._stale = set(PAGES)
        self._refresh_page()

    def _refresh_page(self) -> None:
        """Only the page in sight is brought up to date; the others when they are shown."""
        name = PAGES[self.rail.currentRow()]
        page = self._page(name)
        self.stack.setCurrentWidget(page)
        if name in self._stale:
            self._stale.discard(name)
            page.refresh()

    def _show_page(self, index: int) -> None:
        if self._pages_made and index >= 0:
            self._refresh_page()

    def show_page(self, name: str) -> None:
        """Go to a page by its name."""
        self.rail.setCurrentRow(PAGES.index(name))

    def _keep_aside(self) -> None:
        try:
            if self.document.unsaved:
                rescue.keep(self.document.bike)
            else:
                rescue.forget()
        except OSError as failed:
            self.statusBar().showMessage(f"Unsaved work cannot be kept aside: {failed.strerror}")

    def offer_rescue(self) -> None:
        """If an earlier program ended without saving, offer what it left."""
        if (left := rescue.left_behind()) and not self.message.isVisible():
            self.message.say("Unsaved work from an earlier start was kept.", wrong=True, offer="Open it")
            self.message.offer.setProperty("file", str(left[0]))

    def _open_rescued(self) -> None:
        path = Path(self.message.offer.property("file"))
        if not self._may_leave():
            return
        try:
            opened = bikefile.read_bike(path)
        except bikefile.BikeFileError as refused:
            self.message.say(str(refused), wrong=True)
            return
        self.start_with(bikefile.BikeFile(Bike(), "", ()), None)
        self.document.edit("Work that was kept", opened.bike)
        path.unlink(missing_ok=True)
        self.message.say("This is the work that was kept; save it under a name of its own.")

    def _file_changed(self) -> None:
        self._show_title()
        self._keep_timer.start()

    def _show_title(self) -> None:
        path = self.document.path
        name = path.name if path else self.document.bike.name or "Unnamed bike"
        self.setWindowTitle(f"{name}[*] – Gearplan")
        self.setWindowModified(self.document.unsaved)

    def _hold_chart(self) -> None:
        if self._made("Speed"):
            self.speed_page.chart.hold_range(True)

    def _release_chart(self) -> None:
        if self._made("Speed"):
            self.speed_page.chart.hold_range(False)
            self.speed_page.refresh()

    # Files.

    def start_with(self, opened: bikefile.BikeFile, path: Path | None) -> None:
        """Show a bike that has been read."""
        self.view.forget_ranges()
        if self._made("Bike"):
            self.bike_page.forget_refused()
        self.document.start(opened, path)
        self.message.say("\n".join(opened.notices))
        if path is not None:
            self.settings = self.settings.with_recent(path)

    def new(self) -> None:
        """Begin an empty profile."""
        if self._may_leave():
            self.start_with(bikefile.BikeFile(Bike(), "", ()), None)
            self.show_page("Bike")
            self.bike_page.name.setFocus()

    def ask_open(self) -> None:
        """Ask which file, then open it."""
        if not self._may_leave():
            return
        name, _ = QFileDialog.getOpenFileName(self, "Open a bike", self._folder(), _FILTER)
        if name:
            self.open(Path(name))

    def open(self, path: Path) -> bool:
        """Open a file; if it cannot be read, say so and leave what is open as it is."""
        try:
            opened = bikefile.read_bike(path)
        except bikefile.BikeFileError as refused:
            self.message.say(str(refused), wrong=True)
            return False
        self.start_with(opened, path)
        return True

    def _open_demo(self) -> None:
        self._open_demo_named(self.sender().data())  # type: ignore[attr-defined]

    def _open_demo_named(self, name: str) -> None:
        if self._may_leave():
            self.start_with(demo_bike(name), None)

    def _open_recent(self) -> None:
        path = Path(self.sender().data())  # type: ignore[attr-defined]
        if self._may_leave():
            self.open(path)

    def _fill_recent(self) -> None:
        self.recent_menu.clear()
        for name in self.settings.recent:
            self._add(self.recent_menu, name.replace("&", "&&"), self._open_recent).setData(name)
        if not self.settings.recent:
            self.recent_menu.addAction("Nothing yet").setEnabled(False)

    def save(self) -> bool:
        """Save to the bike's file, asking for one if it has none; True if it was saved."""
        return self.save_as() if self.document.path is None else self._write(self.document.path)

    def save_as(self) -> bool:
        """Ask for a file and save to it."""
        suggested = self.document.path or Path(self._folder()) / f"{self.document.bike.name or 'bike'}{_SUFFIX}"
        name, _ = QFileDialog.getSaveFileName(self, "Save the bike", str(suggested), _FILTER)
        if not name:
            return False
        path = Path(name)
        if not path.name.endswith(".toml"):
            path = path.with_name(path.name + _SUFFIX)
            if path.exists() and not self._confirmed(
                f"{path.name} exists already. Replace it with this bike?", "Replace"
            ):
                return False
        return self._write(path)

    def _write(self, path: Path) -> bool:
        try:
            try:
                self.document.save(path)
            except bikefile.ChangedOnDisk as changed:
                if not self._confirmed(f"{changed}\nReplace what is there now?", "Replace"):
                    return False
                self.document.save(path, over_changed=True)
        except (OSError, bikefile.BikeFileError) as failed:
            reason = failed.strerror if isinstance(failed, OSError) and failed.strerror else str(failed)
            self.message.say(f"Not saved to {path}: {reason}. The bike is still here, unsaved.", wrong=True)
            return False
        self.settings = self.settings.with_recent(path)
        refused = self.bike_page.refused() if self._made("Bike") else []
        text = f"Saved: {path}."
        if refused:
            text += f" Not in the file, because it could not be read: {', '.join(refused)}."
        self.message.say(text, wrong=bool(refused))
        return True

    def _may_leave(self) -> bool:
        """Ask what to do with unsaved work; False means stay. A save that fails means stay."""
        if not self.document.unsaved:
            return True
        buttons = QMessageBox.StandardButton
        answer = QMessageBox.question(
            self,
            "Unsaved changes",
            f"Save the changes to {self.document.bike.name or 'this bike'} first?",
            buttons.Save | buttons.Discard | buttons.Cancel,
            buttons.Save,
        )
        if answer == buttons.Save:
            return self.save()
        return answer == buttons.Discard

    def _confirmed(self, text: str, yes: str) -> bool:
        box = QMessageBox(QMessageBox.Icon.Question, "Gearplan", text, parent=self)
        agreed = box.addButton(yes, QMessageBox.ButtonRole.AcceptRole)
        box.addButton(QMessageBox.StandardButton.Cancel)
        box.exec()
        return box.clickedButton() is agreed

    def _folder(self) -> str:
        known = self.document.path or (Path(self.settings.recent[0]) if self.settings.recent else None)
        return str(known.parent if known else Path.home())

    def closeEvent(self, event: QCloseEvent) -> None:
        """Guard unsaved work, then remember how the window was."""
        if not self._may_leave():
            event.ignore()
            return
        size = self.normalGeometry().size() if self.isMaximized() else self.size()
        self.settings = replace(
            self.settings,
            speed_unit=self.view.speed_unit,
            width=size.width(),
            height=size.height(),
            maximised=self.isMaximized(),
        )
        remembered.store(self.settings)
        self._keep_timer.stop()
        with contextlib.suppress(OSError):
            rescue.forget()
        event.accept()

    # Pictures, questions, appearance.

    def ask_picture(self) -> None:
        """Ask where to, then draw the speed chart into a file."""
        from gearplan.sheet import painter

        mph = self.view.speed_unit == "mph"

        def save(bike: Bike, chosen: DriveSet, path: Path) -> None:
            painter.save_speed_picture(bike, chosen, path, mph)

        self._ask_and_save("Save the speed picture", "speed.png", save)

    def _ask_and_save(self, title: str, ending: str, save: Callable[[Bike, DriveSet, Path], None]) -> None:
        suggested = Path(self._folder()) / f"{self.document.bike.name or 'bike'} {ending}"
        name, _ = QFileDialog.getSaveFileName(self, title, str(suggested), "Pictures (*.png *.svg *.pdf)")
        if not name:
            return
        path = Path(name)
        try:
            save(self.document.bike, self.document.chosen, path)
        except (OSError, ValueError) as failed:
            self.message.say(f"Nothing written to {path}: {failed}", wrong=True)
            return
        self.message.say(f"Written: {path}")

    def ask_drawing(self) -> None:
        """Ask where to, then draw the chain run into a file."""
        from gearplan.sheet import painter

        self._ask_and_save("Save the drawing", "chain run.svg", painter.save_chain_drawing)

    def copy_picture(self) -> None:
        """Put the speed chart as a picture on the clipboard."""
        from gearplan.sheet import painter

        QApplication.clipboard().setImage(
            painter.speed_image(self.document.bike, self.document.chosen, self.view.speed_unit == "mph")
        )
        self.message.say("The speed picture is on the clipboard.")

    def ask_how(self, what: str, gear: int = 1) -> None:
        """Explain a number."""
        from gearplan.plan.how import explain
        from gearplan.window.how import HowPanel

        said = explain(what, self.document.bike, self.document.chosen, gear=gear, cursor=self.view.cursor)
        HowPanel(said, self).show()

    def _how_at_hand(self) -> None:
        if not self._made("Speed"):
            return
        table = self.speed_page.table
        if table.hasFocus() and table.currentIndex().isValid():
            table.ask_at_hand()
        elif self.speed_page.grid.hasFocus():
            self.ask_how("links")
        else:
            self.ask_how("final_ratio")

    def show_cautions(self) -> None:
        """The cautions that go with every fitting."""
        from gearplan.window.cautions import TEXT

        self._tell("Safety and limits", TEXT)

    def show_about(self) -> None:
        """Version and licences."""
        self._tell(
            "About Gearplan",
            f"Gearplan {__version__}\nFinal-drive gearing for motorcycles.\n\n"
            "MIT License. Type: Lato, SIL Open Font License.\nBuilt on Qt for Python (LGPL), pyqtgraph and numpy.",
        )

    def _tell(self, title: str, text: str) -> None:
        box = QMessageBox(QMessageBox.Icon.NoIcon, title, text, QMessageBox.StandardButton.Close, self)
        box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        box.open()

    def _step_teeth(self) -> None:
        part, by = self.sender().data()  # type: ignore[attr-defined]
        self.bar.step(part, by)

    def _page_asked(self) -> None:
        self.rail.setCurrentRow(self.sender().data())  # type: ignore[attr-defined]

    def _unit_asked(self) -> None:
        self.view.set_speed_unit(self.sender().data())  # type: ignore[attr-defined]

    def _appearance_asked(self) -> None:
        self.settings = replace(self.settings, appearance=self.sender().data())  # type: ignore[attr-defined]
        self.dress()

    def dress(self) -> None:
        """Apply the wanted appearance to everything."""
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        theme.apply(app, theme.wanted(self.settings.appearance))
        if self._made("Speed"):
            self.speed_page.recolour()
        if self._made("Chain"):
            self.chain_page.recolour()
            QTimer.singleShot(0, self.update)
