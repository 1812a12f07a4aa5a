"""Waiting for a ranking, and reading the tables of the Circuit page."""

from __future__ import annotations

from typing import Any

from pytestqt.qtbot import QtBot

from gearplan.window.circuit.page import CircuitPage


def ranked(page: CircuitPage, qtbot: QtBot) -> None:
    """Wait until the sets are ranked."""
    qtbot.waitUntil(lambda: page.ranker.ranking is not None and not page.ranker.busy)


def cells(table: Any) -> list[list[str]]:
    """The texts of a table, row by row."""
    model = table.model()
    return [[str(model.index(r, c).data()) for c in range(model.columnCount())] for r in range(model.rowCount())]
