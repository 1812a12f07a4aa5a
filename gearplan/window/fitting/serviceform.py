"""The makers' service data as a form: each value with where it was read; what is not known stays empty."""

from __future__ import annotations

from collections.abc import Collection

from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from gearplan.bike import checks, profile
from gearplan.language import tr
from gearplan.window.document.document import Document
from gearplan.window.document.entryrows import EntryRow, TextRow, row_for
from gearplan.window.fitting.readingfield import quiet
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ValueField, labelled
from gearplan.window.kit.places.layout import Columns, Scrolled, card, fixed_width, least_width
from gearplan.window.kit.plaintext import PlainLabel, plain

_COLUMNS = (
    (
        (tr("Torques from the manual"), "service", ("front_nut_nm", "rear_nuts_nm", "axle_nm", "adjuster_locknut_nm",
                                                "brake_nm", "pivot_nm")),
        (tr("Nuts"), "service", ("front_nut_single_use", "front_nut_locked_by", "rear_nuts", "rear_nuts_self_locking")),
    ),
    (
        (tr("Slack and alignment"), "service", ("slack_range_mm", "slack_how", "alignment_mm")),
        (tr("The chain, from its maker"), "service", ("chain_joint", "chain_sealed", "press_width_mm",
                                                  "press_tolerance_mm", "rivet_flare_mm", "chain_due_km")),
        (tr("Wear"), "limits", ("chain_elongation_percent",)),
    ),
)  # fmt: skip

#: Asked only where a step of the job uses them.
_RARE = (("service", "pivot_nm"),)


class ServiceForm(Scrolled):
    """Edits the profile's service section, and the wear limit, as they are typed."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent=parent)
        self._document = document
        self.rows: dict[tuple[str, str], EntryRow] = {}
        self._rare: dict[tuple[str, str], list[QWidget]] = {}
        inside = QWidget()
        outer = QVBoxLayout(inside)
        outer.addWidget(
            quiet(
                tr(
                    "Only what the makers say, each with where it was read. What is not entered is a blank line on the "
                    "sheet, to be filled from the manual."
                )
            )
        )
        columns = []
        for cards in _COLUMNS:
            side = QWidget()
            column = QVBoxLayout(side)
            column.setContentsMargins(0, 0, 0, 0)
            for title, section, keys in cards:
                column.addWidget(self._card(title, section, keys))
            column.addStretch(1)
            columns.append(side)
        outer.addWidget(Columns(columns, forms=True), 1)
        self.setWidget(inside)

    def _card(self, title: str, section: str, keys: tuple[str, ...]) -> QWidget:
        frame, column = card(2 * theme.UNIT)
        head = PlainLabel(title)
        head.setProperty("role", "title")
        column.addWidget(head)
        grid = QGridLayout()
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 2)
        grid.setColumnStretch(0, 1)
        known = {key for key, _ in profile.entries(section)}
        for key in keys:
            line = grid.rowCount()
            row = self._row(section, key)
            if isinstance(row, TextRow):
                _below_its_label(row, grid, line)
                continue
            row.put_into(grid, line)
            if f"{key}_from" in known:
                # Wide fields beside it would leave it a word a line.
                name = grid.itemAtPosition(line, 0)
                if name is not None and (label := name.widget()) is not None:
                    least_width(label, 110)
            if f"{key}_from" in known:
                read_in = self._row(section, f"{key}_from")
                assert isinstance(read_in, TextRow)
                read_in.field.setAccessibleName(read_in.label)
                read_in.field.setToolTip(plain(read_in.label))
                # An example would look like something that was entered.
                read_in.field.setPlaceholderText(tr("where read"))
                fixed_width(read_in.field, 150)
                # A pair stands on the second line of its row.
                pair = profile.entry(section, key).kind == "pair"
                grid.addWidget(read_in.field, line + pair, 3)
            if (section, key) in _RARE:
                found = [grid.itemAtPosition(line, at) for at in range(grid.columnCount())]
                there = [item.widget() for item in found if item is not None]
                self._rare[section, key] = [widget for widget in there if widget is not None]
        column.addLayout(grid)
        return frame

    def _row(self, section: str, key: str) -> EntryRow:
        row = row_for(section, key)
        row.entered.connect(self._entered)
        row.finished.connect(self._document.end_merge)
        row.unread.connect(self._document.note_unread)
        self.rows[section, key] = row
        return row

    def refresh(self, wanted: Collection[str] = ()) -> None:
        """Show the document as it is now; `wanted` are the fields ("section.key") that steps of the job aim at."""
        bike = self._document.bike
        for (section, key), widgets in self._rare.items():
            needed = f"{section}.{key}" in wanted or profile.value(bike, section, key) is not None
            for widget in widgets:
                widget.setVisible(needed)
        problems = checks.check_bike(bike)
        for (section, key), row in self.rows.items():
            row.show_entry(profile.value(bike, section, key))
            row.show_problem(" ".join(p.text for p in problems if (p.section, p.key) == (section, key)))

    def holds(self, path: str) -> bool:
        """Whether a field of the profile ("section.key") stands on this form."""
        section, key = path.split(".")
        return (section, key) in self.rows

    def show_field(self, path: str) -> None:
        """Bring a field ("section.key") into sight and put the focus into it."""
        section, key = path.split(".")
        if row := self.rows.get((section, key)):
            row.focus()

    def forget_refused(self) -> None:
        """Another bike was opened: drop text that was refused for the last one."""
        for field in self.findChildren(ValueField):
            field.forget()

    def _entered(self, section: str, key: str, value: object) -> None:
        self._document.set_value(section, key, value, profile.entry(section, key).label)


def _below_its_label(row: TextRow, grid: QGridLayout, line: int) -> None:
    """A line of words takes the whole width, so that the labels of the others need not be narrow."""
    across = 4
    grid.addWidget(labelled(row.label, row.field), line, 0, 1, across)
    grid.addWidget(row.field, line + 1, 0, 1, across)
    grid.addWidget(row.errors, line + 2, 0, 1, across)
