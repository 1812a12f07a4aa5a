"""The table under the speed chart: each gear's ratio, speed and engine speed, fitted and proposed."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from gearplan.bike.text.units import RPM
from gearplan.bike.text.written import NONE, difference, number
from gearplan.language import tr
from gearplan.plan.set.compare import GearRow
from gearplan.plan.set.words import engine_speeds_told
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.kit.view import View

# What each column is about, for "how?"; in the order of the columns.
_KEYS = (
    "overall",
    "overall:fitted",
    "overall",
    "speed_at_redline:fitted",
    "speed_at_redline",
    "speed_at_redline",
    "engine_at_cursor:fitted",
    "engine_at_cursor",
    "engine_at_cursor",
)
_HEADS = (tr("Gear"), tr("fitted"), tr("proposed"), *(tr("fitted"), tr("proposed"), tr("change")) * 2)


class GearTable(TextTable):
    """The table; `how_asked` carries plan's key of the number and the gear."""

    how_asked = Signal(str, int)

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(
            tr("Each gear, fitted and proposed"),
            quiet=(1, 3, 6),
            differences=(5, 8),
            only_two=(1, 3, 5, 6, 8),
            explains=True,
            parent=parent,
        )
        self._view = view
        self.asked.connect(self._explain)

    def show_rows(self, rows: tuple[GearRow, ...], cursor: float, one_set: bool) -> None:
        """Show new rows; `cursor` (m/s) is named in the heads. `one_set`: fitted and proposed are the same."""
        unit, factor = self._view.speed_unit, self._view.speed_factor
        groups = (
            (1, 2, tr("Overall ratio")),
            (3, 5, tr("{unit} at the redline", unit=unit)),
            (6, 8, tr("rpm at {cursor:.0f} {unit}", cursor=cursor / factor, unit=unit)),
        )
        self.show_texts(_HEADS, [_texts(row, factor) for row in rows], groups, one_set=one_set)

    def _explain(self, row: int, column: int) -> None:
        self.how_asked.emit(_KEYS[column], row + 1)


def _texts(row: GearRow, factor: float) -> tuple[str, ...]:
    speeds, engine = row.speed_at_redline, row.engine_at_cursor
    return (
        str(row.gear),
        number(row.overall[0], 1, 3),
        number(row.overall[1], 1, 3),
        number(speeds[0], factor),
        number(speeds[1], factor),
        difference(*speeds, factor),
        *engine_speeds_told(row),
        NONE if any(row.over) else difference(*engine, RPM, 0),
    )
