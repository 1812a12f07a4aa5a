"""The sections as Qt's model: a row each, a column for each entry and one for what is wrong with the row."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor

from gearplan.bike.circuit import Circuit, label_of, section_entry
from gearplan.bike.sections.cells import COLUMNS, HEADS, SectionUnits, exact_text, heading, shown_number, shown_text
from gearplan.bike.sections.doubts import Doubt
from gearplan.bike.text.units import KMH
from gearplan.language import tr
from gearplan.window.circuit.sections.unreadable import UnreadableCells
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import plain
from gearplan.window.kit.tables.textcells import tell_changed

_Index = QModelIndex | QPersistentModelIndex

#: The column of what is wrong stands behind what a section mostly has.
CHECK = 1 + COLUMNS.index("gradient_percent")
#: The entry of each column, None where what is wrong stands.
KEYS: tuple[str | None, ...] = (*COLUMNS[:CHECK], None, *COLUMNS[CHECK:])
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_WORDS = ("kind", "note", "hold_gear", None)


class SectionsModel(QAbstractTableModel):
    """Shows a circuit; `entered` carries (row, key, text) of an edited cell, which whoever listens reads.

    What follows from other cells stands in brackets. A text that cannot be read stays in its cell, underlined.
    """

    entered = Signal(int, str, str)

    def __init__(self, unreadable: UnreadableCells, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._unreadable = unreadable
        self._circuit = Circuit()
        self._units = SectionUnits()
        self._cells: list[tuple[str, ...]] = []
        self._told: list[str] = []
        self._derived: set[tuple[int, int]] = set()

    def show_circuit(
        self,
        circuit: Circuit,
        units: SectionUnits,
        apexes: tuple[float | None, ...],
        doubts: dict[int, tuple[Doubt, ...]],
        why: Callable[[str, str], str],
    ) -> None:
        """Take a circuit with its apex speeds (m/s) and doubts; `why` says what is wrong with the text of a column."""
        renamed, self._units = units != self._units, units
        before, self._circuit, self._derived = self._cells, circuit, set()
        cells, told = [], []
        for row in range(len(circuit.sections)):
            briefs = [f"{HEADS[key]}?" for key in self._unreadable.of(row)]
            briefs += [doubt.brief for doubt in doubts.get(row, ())]
            cells.append(tuple(self._cell(row, key, apexes[row], briefs) for key in KEYS))
            wrong = [
                tr("Section {row}, {label_of}: {why}.", row=row + 1, label_of=label_of(key), why=why(key, text))
                for key, text in self._unreadable.of(row).items()
            ]
            told.append(" ".join(wrong + [doubt.text for doubt in doubts.get(row, ())]))
        self._told = told
        # Rows are added and taken away at the end, so that neither scrolling nor the cell at hand jumps.
        if len(cells) > len(before):
            self.beginInsertRows(QModelIndex(), len(before), len(cells) - 1)
            self._cells = cells
            self.endInsertRows()
        elif len(cells) < len(before):
            self.beginRemoveRows(QModelIndex(), len(cells), len(before) - 1)
            self._cells = cells
            self.endRemoveRows()
        else:
            self._cells = cells
        if renamed:
            self.headerDataChanged.emit(Qt.Orientation.Horizontal, 0, len(KEYS) - 1)
        both = enumerate(zip(before, cells, strict=False))
        changed = [(row, c) for row, (was, now) in both for c in range(len(KEYS)) if was[c] != now[c]]
        if changed:
            tell_changed(self, changed)

    def _cell(self, row: int, key: str | None, apex: float | None, briefs: list[str]) -> str:
        if key is None:
            return ", ".join(briefs)
        if text := self._unreadable.text(row, key):
            return text
        section = self._circuit.sections[row]
        shown = shown_text(section, key, self._units)
        if shown or section.kind == "straight":
            return shown
        follows = None
        if key == "apex_kmh" and apex is not None:
            follows = apex / KMH
        elif key == "radius_m":
            follows = section.line_radius_m
        if follows is None:
            return ""
        self._derived.add((row, KEYS.index(key)))
        return f"({shown_number(follows, key, self._units)})"

    def told(self, row: int) -> str:
        """What is wrong with a row, in whole sentences."""
        return self._told[row] if row < len(self._told) else ""

    def rowCount(self, parent: _Index | None = None) -> int:
        """Sections."""
        return 0 if parent is not None and parent.isValid() else len(self._cells)

    def columnCount(self, parent: _Index | None = None) -> int:
        """Entries, and what is wrong."""
        return 0 if parent is not None and parent.isValid() else len(KEYS)

    def headerData(self, section: int, orientation: Qt.Orientation, role: int = 0) -> object:
        """The entries' names with their units; the sections' numbers."""
        if orientation == Qt.Orientation.Vertical:
            return str(section + 1) if role == Qt.ItemDataRole.DisplayRole else None
        key = KEYS[section]
        if role == Qt.ItemDataRole.DisplayRole:
            # The unit has a line of its own: the columns are narrow.
            return tr("check") if key is None else heading(key, self._units).replace(", ", "\n")
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return tr("check") if key is None else heading(key, self._units)
        if role == Qt.ItemDataRole.ToolTipRole:
            return (
                tr("What is asked about or contradicts in this section")
                if key is None
                else plain(section_entry(key).label)
            )
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignLeft if key in _WORDS else Qt.AlignmentFlag.AlignRight
            return side | Qt.AlignmentFlag.AlignBottom
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        """The text, how it is edited, how it looks, and what a screen reader says of it."""
        if not index.isValid() or index.row() >= len(self._cells):
            return None
        row, key = index.row(), KEYS[index.column()]
        text = self._cells[row][index.column()]
        wrong = key is not None and self._unreadable.text(row, key)
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return text
            case Qt.ItemDataRole.EditRole:
                if key is None:
                    return text
                return wrong or exact_text(self._circuit.sections[row], key, self._units)
            case Qt.ItemDataRole.TextAlignmentRole:
                return _LEFT if key in _WORDS else _RIGHT
            case Qt.ItemDataRole.ForegroundRole:
                return QColor(self._colour(index, bool(wrong)))
            case Qt.ItemDataRole.FontRole:
                font = theme.font(theme.SMALL, bold=key is None)
                font.setUnderline(bool(wrong))
                return font
            case Qt.ItemDataRole.ToolTipRole:
                return plain(self._told[row] if key is None or wrong else text if key == "note" else "") or None
            case Qt.ItemDataRole.AccessibleTextRole:
                head = tr("check") if key is None else heading(key, self._units)
                return tr(
                    "Section {row}, {head}: {told}",
                    row=row + 1,
                    head=head,
                    told=self._told[row] if key is None else text,
                ).rstrip(": ")
            case Qt.ItemDataRole.AccessibleDescriptionRole:
                return self._told[row]
        return None

    def _colour(self, index: _Index, wrong: bool) -> str:
        now = theme.current()
        if wrong:
            return now.refuse
        return now.quiet if (index.row(), index.column()) in self._derived else now.text

    def flags(self, index: _Index) -> Qt.ItemFlag:
        """All can be chosen; all but what is wrong can be edited."""
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        return flags if KEYS[index.column()] is None else flags | Qt.ItemFlag.ItemIsEditable

    def setData(self, index: _Index, value: object, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """A cell was edited; one that was left as it stood is not."""
        key = KEYS[index.column()]
        if role != Qt.ItemDataRole.EditRole or key is None or str(value) == self.data(index, role):
            return False
        self.entered.emit(index.row(), key, str(value))
        return True
