"""Readings of the chain's length: entered, judged, and drawn out to when the chain is due."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import checks
from gearplan.bike.measuring import measuring
from gearplan.bike.text import written
from gearplan.bike.text.numbertext import shown_number
from gearplan.language import decimal, tr
from gearplan.plan.chain.wear import forecast_text, refused_reading, wear_state
from gearplan.plan.findings import LEVELS
from gearplan.plan.job.odometer import log_findings, today_findings
from gearplan.setup.wornchain import reading_elongations
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField, OdometerField, UnitLabel
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.shapes import VerdictShape
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.measuring.measurer import Measurer

_HEADS = (tr("odometer, km"), tr("length, mm"), tr("elongation, %"))


class WearPanel(QWidget):
    """Part of the Chain page; edits the profile's wear section."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        told = measuring("final_drive", "elongation_percent")
        assert told is not None
        how = PlainLabel(f"{told.hold} {told.wrong}")
        how.setProperty("role", "small")
        how.setWordWrap(True)
        column.addWidget(how)
        self.measurer = Measurer(document, self)
        ask = QPushButton(tr("How to measure (F1)"))
        ask.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        ask.clicked.connect(self.measurer.show_window)
        column.addWidget(ask, 0, Qt.AlignmentFlag.AlignLeft)
        self.form = EntryForm(
            document, (("wear", "gauge_links"), ("limits", "chain_elongation_percent")), tr("Chain wear")
        )
        column.addWidget(self.form)
        column.addLayout(self._new_reading())
        links = self.form.rows["wear", "gauge_links"].places()[0][1]
        for field in (links, self.length):
            self.measurer.follow_field("final_drive.elongation_percent", field)
        self.errors = ErrorLabel()
        self.km.errors = self.length.errors = self.errors
        column.addWidget(self.errors)
        self.table = TextTable(tr("Readings of the chain's length"))
        column.addWidget(self.table)
        self.remove = QPushButton(tr("Remove the selected reading"))
        self.remove.clicked.connect(self._remove)
        column.addWidget(self.remove, 0, Qt.AlignmentFlag.AlignLeft)
        verdict = QHBoxLayout()
        self.shape = VerdictShape(18)
        self.verdict = PlainLabel()
        self.verdict.setWordWrap(True)
        verdict.addWidget(self.shape)
        verdict.addWidget(self.verdict, 1)
        column.addLayout(verdict)
        self.forecast = PlainLabel()
        self.forecast.setWordWrap(True)
        column.addWidget(self.forecast)
        self.source = PlainLabel()
        self.source.setProperty("role", "small")
        self.source.setWordWrap(True)
        column.addWidget(self.source)
        column.addStretch(1)

    def _new_reading(self) -> Flow:
        row = Flow()
        self.km = OdometerField(partial(_refused, 0))
        self.length = NumberField(partial(_refused, 1), unit="mm")
        self.add = QPushButton(tr("Add reading"))
        self.add.clicked.connect(self._add)
        for label, field in ((tr("Odo&meter, km"), self.km), (tr("Len&gth"), self.length)):
            fixed_width(field, 72)
            unit = UnitLabel("mm" if field is self.length else "")
            row.addWidget(together(labelled(label, field), field, unit))
        self.km.entered.connect(self._km_typed)
        self.km.passed.connect(self._go_on)
        self.length.passed.connect(self._go_on)
        row.addWidget(self.add)
        return row

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike = self._document.bike
        self.form.refresh()
        readings = sorted(bike.wear.readings or ())
        state = wear_state(bike)
        found = reading_elongations(bike)
        worn = [""] * len(readings) if found is None else [decimal(f"{100 * part:.2f}") for part in found]
        lines = zip(readings, worn, strict=True)
        self.table.show_texts(
            _HEADS, [(written.number(km), written.shortest(round(mm, 2)), part) for (km, mm), part in lines]
        )
        self.remove.setEnabled(bool(readings))
        self.shape.setVisible(state is not None)
        if state is None:
            self.verdict.setText(
                tr("Enter over how many links you measure, then add a reading: odometer and length.")
                if bike.wear.gauge_links is None or not readings
                else tr("Enter the chain size on the Bike page.")
            )
            self.forecast.setText("")
            self.source.setText("")
            return
        found_here = (state.finding, *log_findings(bike))
        self.shape.show_level(max((f.level for f in found_here), key=LEVELS.index))
        self.verdict.setText(" ".join(f.text for f in found_here))
        self.forecast.setText(forecast_text(state))
        told = state.limit.source if state.limit.own else tr("enter the maker's own above")
        self.source.setText(tr("Limit {words}: {told}.", words=state.limit.words, told=told))

    def _km_typed(self, value: object) -> None:
        fallen = today_findings(self._document.bike, value) if isinstance(value, (int, float)) else ()
        self.km.set_outer_problem(" ".join(f.text for f in fallen))

    def _go_on(self) -> None:
        """Enter goes to the half that is empty; once both are there it adds the reading."""
        lacking = next((field for field in (self.km, self.length) if not field.text().strip()), None)
        if lacking is None:
            self._add()
        (lacking or self.km).setFocus(Qt.FocusReason.OtherFocusReason)

    def _add(self) -> None:
        km, mm = self.km.value, self.length.value
        if not (isinstance(km, (int, float)) and isinstance(mm, (int, float))):
            self.errors.say(tr("Enter both the odometer and the length."), self)
            return
        if refused := refused_reading(self._document.bike, mm):
            self.errors.say(f"{shown_number(mm)} mm: {refused}", self)
            return
        self.errors.say("", self)
        reading = (float(km), float(mm))
        wear = self._document.bike.wear
        readings = tuple(sorted((*(wear.readings or ()), reading)))
        self._change(replace(wear, readings=readings), tr("Add a wear reading"))
        self.km.set_outer_problem("")
        self.km.show_number(None)
        self.length.show_number(None)

    def _remove(self) -> None:
        wear = self._document.bike.wear
        readings = sorted(wear.readings or ())
        row = self.table.currentIndex().row()
        del readings[row if 0 <= row < len(readings) else -1]
        self._change(replace(wear, readings=tuple(readings) or None), tr("Remove a wear reading"))

    def _change(self, wear: object, label: str) -> None:
        self._document.edit(label, replace(self._document.bike, wear=wear))  # type: ignore[arg-type]


def _refused(half: int, value: float) -> str | None:
    reading = (value, 0.0) if half == 0 else (0.0, value)
    text = checks.check_value("wear", "readings", (reading,))
    return None if text is None else text.removeprefix("point 1: ")
