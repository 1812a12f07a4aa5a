"""A form over entries of the profile: each as a row that edits the document and shows what contradicts it."""

from __future__ import annotations

from PySide6.QtWidgets import QGridLayout, QWidget

from gearplan.bike import checks, profile
from gearplan.window.document.document import Document
from gearplan.window.document.entryrows import EntryRow, row_for
from gearplan.window.kit import theme


class EntryForm(QWidget):
    """Rows for entries named as (section, key); an edit is one step to undo, named `label` or after the entry."""

    def __init__(
        self,
        document: Document,
        entries: tuple[tuple[str, str], ...],
        label: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._label = document, label
        self.rows: dict[tuple[str, str], EntryRow] = {}
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 2)
        grid.setColumnStretch(0, 1)
        for section, key in entries:
            row = row_for(section, key)
            row.entered.connect(self._entered)
            row.finished.connect(document.end_merge)
            row.unread.connect(document.note_unread)
            row.put_into(grid, grid.rowCount())
            self.rows[section, key] = row

    def refresh(self, problems: tuple[checks.Problem, ...] | None = None) -> None:
        """Show the document as it is now; `problems` are the profile's contradictions, if known already."""
        bike = self._document.bike
        found = checks.check_bike(bike) if problems is None else problems
        for (section, key), row in self.rows.items():
            row.show_bike(bike)
            row.show_entry(profile.value(bike, section, key))
            row.show_problem(" ".join(p.text for p in found if (p.section, p.key) == (section, key)))

    def _entered(self, section: str, key: str, value: object) -> None:
        self._document.set_value(section, key, value, self._label or profile.entry(section, key).label)
