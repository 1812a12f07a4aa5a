"""How the window looks at the work: units, cursor, ranges, the shop's stock. Not part of the bike, not undone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from gearplan.bike.profile import Bike
from gearplan.bike.text.units import KMH, MPH
from gearplan.bike.text.unitset import UnitSet
from gearplan.language import tr
from gearplan.plan.pull.asked import ROLL_ONS, SLOPES, SPEEDS, SPRINTS
from gearplan.window.kit import shownunits

if TYPE_CHECKING:
    from gearplan.bike.stock import Stock
    from gearplan.bike.stocklist.reading import StockList

_MOST_TOLD = 5

#: How far around the fitted set the grid and the sliders reach until the user says otherwise.
_AROUND = {"front": 2, "rear": 6}
_LEAST = 9

SPEED_FACTORS = {"km/h": KMH, "mph": MPH}


class View(QObject):
    """View state shared by the pages; `changed` after every change, also of the appearance."""

    changed = Signal()
    #: What the user wants timed and listed has changed; the page that it stands on has shown it already.
    asked_changed = Signal()

    def __init__(self, units: UnitSet, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.units = units
        shownunits.take(units)
        self.cursor = 100 * KMH
        #: The customer's cruising speed (m/s); None until one is named.
        self.cruise: float | None = None
        #: What the customer wishes, in words.
        self.wishes: tuple[str, ...] = ()
        #: The shop's stock list as it is open, the file of the last one, and what is to be said of it.
        self.stock_list: StockList | None = None
        self.stock_path: Path | None = None
        self.stock_told = tr("none open")
        self._stock: Stock | None = None
        #: The shop's currency, in which prices are that name none.
        self.currency = ""
        #: What the user wants timed and listed, as written: sprints, roll_ons, slopes, speeds.
        self.asked = {"sprints": SPRINTS, "roll_ons": ROLL_ONS, "slopes": SLOPES, "speeds": SPEEDS}
        self._ranges: dict[str, tuple[int, int]] = {}

    @property
    def speed_unit(self) -> str:
        """The unit of road speeds."""
        return self.units.speed

    @property
    def speed_factor(self) -> float:
        """Metres per second in one of the shown speed unit."""
        return SPEED_FACTORS[self.speed_unit]

    def set_speed_unit(self, unit: str) -> None:
        """Show speeds in another unit."""
        self.set_units(replace(self.units, speed=unit))

    def set_units(self, units: UnitSet) -> None:
        """Show every quantity in the unit that a set names for it."""
        if units != self.units:
            self.units = units
            shownunits.take(units)
            self.changed.emit()

    def set_cursor(self, speed: float) -> None:
        """Move the cursor to a road speed in m/s."""
        if speed != self.cursor:
            self.cursor = speed
            self.changed.emit()

    def set_cruise(self, speed: float | None) -> None:
        """Take another cruising speed of the customer in m/s, None for the usual one."""
        if speed != self.cruise:
            self.cruise = speed
            self.changed.emit()

    def take_up(self, cruise: float | None, wishes: tuple[str, ...]) -> None:
        """Another bike: what its customer named and wished, None and () for nothing; who brings the bike tells it."""
        self.cruise, self.wishes = cruise, wishes

    @property
    def stock(self) -> Stock | None:
        """What the shop has or can get; None while no list is open."""
        if self._stock is None and self.stock_list is not None:
            self._stock = self.stock_list.found.stock.in_currency(self.currency)
        return self._stock

    def set_currency(self, currency: str) -> None:
        """Take another currency as the shop's."""
        if currency != self.currency:
            self.currency, self._stock = currency, None
            self.changed.emit()

    def set_stock(self, stock: StockList) -> None:
        """Take what the shop has from another list, or from this one as it was edited."""
        self.stock_list, self.stock_path = stock, stock.path or self.stock_path
        self._stock = None
        self.stock_told = stock.told(_MOST_TOLD)
        self.changed.emit()

    def say_of_stock(self, told: str) -> None:
        """Say why a list is not read; the one that is open stays."""
        self.stock_told = told
        self.changed.emit()

    def ask(self, key: str, text: str) -> None:
        """Want something else timed or listed; `key` as in `asked`."""
        self.asked[key] = text
        self.asked_changed.emit()

    def teeth_range(self, part: str, bike: Bike) -> tuple[int, int]:
        """The (lowest, highest) tooth count of the grid and the slider of "front" or "rear"."""
        if part in self._ranges:
            return self._ranges[part]
        middle = getattr(bike.final_drive, part) or {"front": 15, "rear": 45}[part]
        reach = _AROUND[part]
        return max(middle - reach, _LEAST), middle + reach

    def set_teeth_range(self, part: str, ends: tuple[int, int] | None) -> None:
        """Look at another range of tooth counts, None for that around the fitted set."""
        if self._ranges.get(part) != ends:
            self._ranges.pop(part, None)
            if ends is not None:
                self._ranges[part] = ends
            self.changed.emit()

    def forget_ranges(self) -> None:
        """Another bike: look around its own set again."""
        self._ranges.clear()
