"""The units that the window shows now, known to every field and table as the colours are."""

from __future__ import annotations

from functools import cache

from PySide6.QtCore import QObject, Signal

from gearplan.bike.text.unitset import METRIC, UnitSet


class _Shown(QObject):
    changed = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.units = METRIC


@cache
def shown() -> _Shown:
    """Tells `changed` to whoever shows units."""
    return _Shown()


def current() -> UnitSet:
    """The units now."""
    return shown().units


def take(units: UnitSet) -> None:
    """Show other units from now on."""
    if units != shown().units:
        shown().units = units
        shown().changed.emit()
