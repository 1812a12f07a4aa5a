"""Changing the section at hand on the map: dragged by its handle, or by keys; one step to undo each."""

from __future__ import annotations

from PySide6.QtCore import QObject

from gearplan.bike.circuit import Section, section_entry
from gearplan.bike.sections.edits import with_section
from gearplan.language import tr
from gearplan.plan.laps import maphandle
from gearplan.plan.laps.maphandle import MapHandle, map_handle
from gearplan.plan.laps.trackmap import circuit_map
from gearplan.window.circuit.charts.mapchart import MapChart
from gearplan.window.circuit.sections.form import SectionsForm
from gearplan.window.document.document import Document


class MapDrag(QObject):
    """Brings handle and circuit together; while the handle is held the circuit stays as it is, and so do the laps."""

    def __init__(self, document: Document, chart: MapChart, sections: SectionsForm, parent: QObject) -> None:
        super().__init__(parent)
        self._document, self._chart, self._sections = document, chart, sections
        self._handle: MapHandle | None = None
        #: The section as it would be if the handle were let go now.
        self._moved: Section | None = None
        self._on = False
        chart.dragged.connect(self._dragged)
        chart.dropped.connect(self._dropped)
        chart.stepped.connect(self._stepped)
        chart.turned_to.connect(self._turn_to)
        sections.table.moved_to.connect(self._another)

    def refresh(self, on: bool) -> None:
        """Show the handle of the section at hand, or none while sections are not looked at."""
        circuit, self._on = self._document.circuit, on
        self._handle = self._moved = None
        if not on or circuit is None or self._sections.index >= len(circuit.sections):
            self._chart.show_handle(None, "", "")
            return
        handle = map_handle(circuit, circuit_map(circuit), self._sections.index)
        section = circuit.sections[handle.index]
        self._handle = handle
        self._chart.show_handle(
            (handle.x, handle.y),
            maphandle.size_words(section, self._sections.units),
            tr("Section {index}, {note}", index=handle.index + 1, note=section.note or tr(section.kind)),
        )

    def _another(self, _row: int) -> None:
        self.refresh(self._on)

    def _dragged(self, x: float, y: float) -> None:
        circuit, handle = self._document.circuit, self._handle
        if circuit is None or handle is None:
            return
        self._moved = maphandle.dragged(circuit.sections[handle.index], handle, x, y)
        changed = with_section(circuit, handle.index, self._moved)
        drawn = circuit_map(changed)
        at = map_handle(changed, drawn, handle.index)
        words = maphandle.size_words(self._moved, self._sections.units)
        self._chart.show_moved((drawn.x, drawn.y), (at.x, at.y), words)

    def _dropped(self) -> None:
        handle, moved = self._handle, self._moved
        if handle is not None and moved is not None:
            self._chart.show_moved(None, (handle.x, handle.y), "")
            self._take(handle.index, moved, "")
        self._document.end_merge()

    def _stepped(self, metres: float) -> None:
        circuit, handle = self._document.circuit, self._handle
        if circuit is not None and handle is not None:
            section = maphandle.stepped(circuit.sections[handle.index], metres)
            self._take(handle.index, section, f"map {handle.index}")

    def _take(self, index: int, section: Section, merge: str) -> None:
        circuit = self._document.circuit
        assert circuit is not None
        label = section_entry(maphandle.size_key(section)).label
        self._document.edit_circuit(tr("{label} on the map", label=label), with_section(circuit, index, section), merge)
        self.refresh(self._on)

    def _turn_to(self, by: int) -> None:
        circuit = self._document.circuit
        if circuit is not None and circuit.sections:
            self._document.end_merge()
            self._sections.table.take((self._sections.index + by) % len(circuit.sections))
