"""The columns of a ride log for confirmation."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.ridelog.reading.columns import LABELS, UNITS, Layout
from gearplan.window.tables.question import ColumnsQuestion


class ColumnsPanel(ColumnsQuestion):
    """Asks about the layout of a ride log."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(LABELS, UNITS, tr("Read the log so"), parent)

    def words_for(self, layout: Layout) -> str:
        """What is lacking or in doubt."""
        doubtful = [column for column in layout.columns if not column.sure]
        told = [*layout.gathered]
        if not layout.usable:
            told.append(tr("Say which column holds a speed, or positions."))
        elif layout.column("time") is None:
            told.append(tr("No column is known as the time: say which it is, or read the log without."))
        elif doubtful:
            told.append(tr("What is not sure is marked; put it right if need be."))
        elif not told:
            told.append(tr("Headings and units leave no doubt."))
        return " ".join(told)
