"""The menus of the window: what stands in them, and what of it needs nothing else of the window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtGui import QAction, QActionGroup, QKeySequence
from PySide6.QtWidgets import QLabel, QMenu, QWidget

from gearplan.bike import library
from gearplan.language import tr
from gearplan.plan.words import CAUTIONS
from gearplan.window.frame.athand import AtHand
from gearplan.window.frame.fullscreen import TurnRound
from gearplan.window.frame.opening.earlier import take_earlier
from gearplan.window.frame.pagehost import PAGES, PageHost
from gearplan.window.frame.settings import Settings, gone
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel

from . import menuwords
from .helptexts import ABOUT, tell


class MenuWindow(PageHost):
    """The window with its menus; who derives from it steps teeth, turns pages and dresses everything anew."""

    at_hand: AtHand
    #: Which motorcycle all pages are about, at the right of the menus.
    bike_name: QLabel

    def dress(self) -> None:
        """Apply the wanted appearance to everything."""
        raise NotImplementedError

    def _step_teeth(self) -> None:
        raise NotImplementedError

    def _page_asked(self) -> None:
        raise NotImplementedError

    def _how_at_hand(self) -> None:
        raise NotImplementedError

    def _show_handbook(self) -> None:
        raise NotImplementedError

    def _next_area(self) -> None:
        raise NotImplementedError

    def _previous_area(self) -> None:
        raise NotImplementedError

    def _list_actions(self) -> None:
        from gearplan.window.frame.menus.actionlist import ActionList, doings

        ActionList(doings(self, self.page(self.in_sight)), self).open()

    def _hidden_for_customer(self) -> tuple[QWidget, ...]:
        raise NotImplementedError

    def _show_round(self, on: bool) -> None:
        raise NotImplementedError

    def _menus(self, settings: Settings) -> None:
        keys = QKeySequence.StandardKey
        self.bike_name = PlainLabel()
        self.bike_name.setContentsMargins(0, theme.UNIT // 2, 2 * theme.UNIT, theme.UNIT // 2)
        self.bike_name.setFont(theme.font(bold=True))
        file = self.menuBar().addMenu(tr("&File"))
        self._add(file, tr("&New bike"), self._new, keys.New)
        self._add(file, tr("&Open…"), self.files.ask_open, keys.Open)
        self.recent_menu = file.addMenu(tr("Open &recent"))
        self.recent_menu.aboutToShow.connect(self._fill_recent)
        self.demo_menu = file.addMenu(tr("Open a &demo bike"))
        for name in library.demo_bikes():
            self._add(self.demo_menu, name.replace("&", "&&"), self._open_demo).setData(name)
        file.addSeparator()
        self._add(file, tr("&Save"), self._save, keys.Save)
        self._add(file, tr("Save &as…"), self.files.save_as, keys.SaveAs)
        self._add(file, tr("Take back the &earlier version"), lambda: take_earlier(self.document, self.message))
        file.addSeparator()
        self._add(file, tr("Save speed &picture…"), self._ask_picture, "Ctrl+E")
        self._add(file, tr("&Copy speed picture"), self._copy_picture, "Ctrl+Shift+C")
        file.addSeparator()
        # Named by hand: outside of the large desktops the standard key is none.
        self._add(file, tr("&Quit"), self.close, "Ctrl+Q")
        edit = self.menuBar().addMenu(tr("&Edit"))
        self.undo_action = self._add(edit, tr("&Undo"), self.document.undo, keys.Undo)
        self.redo_action = self._add(edit, tr("&Redo"), self.document.redo, keys.Redo)
        edit.addSeparator()
        self._add(edit, tr("&Copy the table or chart at hand"), self.at_hand.copy, keys.Copy)
        self._add(edit, tr("Chart at hand as a &table…"), self.at_hand.show_table, "Ctrl+Shift+T")
        self._add(edit, tr("E&xport the table or chart at hand…"), self.at_hand.export, "Ctrl+Shift+E")
        edit.addSeparator()
        for label, shortcut, part, by in (
            (tr("Front sprocket one tooth &smaller"), "Alt+Left", "front", -1),
            (tr("Front sprocket one tooth &larger"), "Alt+Right", "front", 1),
            (tr("Rear sprocket one tooth s&maller"), "Alt+Down", "rear", -1),
            (tr("Rear sprocket one tooth lar&ger"), "Alt+Up", "rear", 1),
        ):
            self._add(edit, label, self._step_teeth, shortcut).setData((part, by))
        view = self.menuBar().addMenu(tr("&View"))
        for name in PAGES:
            self._add(view, menuwords.PAGES[name], self._page_asked, menuwords.PAGE_KEYS[name]).setData(name)
        self.round = TurnRound(self, self._hidden_for_customer, self._show_round)
        self._add(view, tr("Customer, full scree&n"), self.round.turn, "F11")
        view.addSeparator()
        self._add(view, tr("Ne&xt area"), self._next_area, "F6")
        self._add(view, tr("Pre&vious area"), self._previous_area, "Shift+F6")
        view.addSeparator()
        self.settings_menu = view.addMenu(tr("Settin&gs"))
        self._settings(self.settings_menu, settings)
        self._add(view, tr("A&ll actions…"), self._list_actions, "Ctrl+Shift+P")
        help_menu = self.menuBar().addMenu(tr("&Help"))
        self._add(help_menu, tr("Hand&book"), self._show_handbook, "Shift+F1")
        self._add(help_menu, tr("&How is the number at hand computed or measured?"), self._how_at_hand, "F1")
        self._add(help_menu, tr("&Safety and limits"), self._show_cautions)
        self._add(help_menu, tr("&About Gearplan"), self._show_about)

    def _save(self) -> None:
        self.files.save(wait=False)

    def _settings(self, menu: QMenu, settings: Settings) -> None:
        self._add(menu, tr("&All settings…"), self._ask_settings, "Ctrl+,")
        self._add(menu, tr("S&hop and paper…"), self.counter.ask_shop)
        menu.addSeparator()
        self._units = self._choices(menu, menuwords.UNITS, settings.speed_unit, self._unit_asked)
        menu.addSeparator()
        self._looks = self._choices(menu, menuwords.LOOKS, settings.appearance, self._appearance_asked)
        menu.addSeparator()
        now = f"{100 * settings.text_size:.0f} %"
        sizes = menu.addMenu(tr("&Text size"))
        self._sizes = self._choices(sizes, menuwords.SIZES, now, self._text_size_asked)
        sizes.addSeparator()
        self._add(sizes, tr("Larg&er"), self._larger_text, QKeySequence.StandardKey.ZoomIn)
        self._add(sizes, tr("&Smaller"), self._smaller_text, QKeySequence.StandardKey.ZoomOut)

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
        # The menu bar hides in full screen, and the keys of what stands in it alone.
        self.addAction(action)
        return action

    def _choices(self, menu: QMenu, choices: dict[str, str], now: str, slot: Callable[[], object]) -> list[QAction]:
        group = QActionGroup(self)
        for word, label in choices.items():
            action = self._add(menu, label, slot)
            action.setCheckable(True)
            action.setChecked(word == now)
            action.setData(word)
            group.addAction(action)
        return group.actions()

    def show_units(self) -> None:
        """Mark the unit in which speeds are shown now, whoever chose it."""
        for action in self._units:
            action.setChecked(action.data() == self.view.speed_unit)

    def _new(self) -> None:
        if self.files.new():
            self.ask_basics()

    def _open_demo(self) -> None:
        self.files.open_demo(self.sender().data())  # type: ignore[attr-defined]

    def _open_recent(self) -> None:
        self.files.open_recent(Path(self.sender().data()))  # type: ignore[attr-defined]

    def _fill_recent(self) -> None:
        self.recent_menu.clear()
        recent = self.remembered.look().recent
        lost = gone(recent)
        for name in recent:
            words = tr("{name}, not there any more", name=name) if name in lost else name
            action = self._add(self.recent_menu, words.replace("&", "&&"), self._open_recent)
            action.setData(name)
            action.setEnabled(name not in lost)
        if not recent:
            self.recent_menu.addAction(tr("Nothing yet")).setEnabled(False)

    def _ask_picture(self) -> None:
        self.files.ask_speed_picture(mph=self.view.speed_unit == "mph")

    def _copy_picture(self) -> None:
        self.files.copy_speed_picture(mph=self.view.speed_unit == "mph")

    def _show_cautions(self) -> None:
        tell(self, tr("Safety and limits"), "\n\n".join(CAUTIONS))

    def _show_about(self) -> None:
        tell(self, tr("About Gearplan"), ABOUT)

    def _unit_asked(self) -> None:
        self.view.set_speed_unit(self.sender().data())  # type: ignore[attr-defined]

    def _ask_settings(self) -> None:
        from gearplan.window.frame.settingsdialog import SettingsDialog

        SettingsDialog(self).open()

    def _appearance_asked(self) -> None:
        self.take_appearance(self.sender().data())  # type: ignore[attr-defined]

    def take_appearance(self, word: str) -> None:
        """Look otherwise from now on."""
        self.remembered.keep(partial(replace, appearance=word))
        for action in self._looks:
            action.setChecked(action.data() == word)
        self.dress()

    def _text_size_asked(self) -> None:
        self.take_text_size(int(self.sender().data().split()[0]) / 100)  # type: ignore[attr-defined]

    def _larger_text(self) -> None:
        now = self.remembered.now.text_size
        self.take_text_size(min((size for size in theme.SCALES if size > now), default=now))

    def _smaller_text(self) -> None:
        now = self.remembered.now.text_size
        self.take_text_size(max((size for size in theme.SCALES if size < now), default=now))

    def take_text_size(self, share: float) -> None:
        """Show text so large from now on, in proportion to the desktop's."""
        self.remembered.keep(partial(replace, text_size=share))
        self._sizes[theme.SCALES.index(share)].setChecked(True)
        self.dress()
