"""The head of the Circuit page: which circuit, what its map shows, and what can be done with both."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QMenu, QPushButton, QToolButton, QWidget

from gearplan.bike import library
from gearplan.bike.circuit import Circuit
from gearplan.language import tr
from gearplan.window.circuit.charts.pictures import SHADES
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.plaintext import PlainLabel


class CircuitHead(QWidget):
    """The signals ask for what others do: `open_asked`, `demo_asked` (name), `new_asked`, `save_asked` (True: under
    another name), `table_asked` (the ranking as a file), `page_asked` (the page on paper), `shaded` (one of `SHADES`).
    """

    open_asked = Signal()
    demo_asked = Signal(str)
    new_asked = Signal()
    save_asked = Signal(bool)
    table_asked = Signal()
    page_asked = Signal()
    shaded = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = Flow()
        row.setContentsMargins(0, 0, 0, 0)
        self.setLayout(row)
        self.name = PlainLabel()
        self.name.setProperty("role", "title")
        row.addWidget(self.name)
        row.push()
        self.shade = QComboBox()
        self.shade.addItems([tr("by gear"), tr("by engine speed")])
        self.shade.currentIndexChanged.connect(self._shade_changed)
        row.addWidget(together(labelled(tr("&Map"), self.shade), self.shade))
        for label, menu in ((tr("Circuit"), self._circuit_menu()), (tr("Export"), self._export_menu())):
            button = QToolButton()
            button.setText(label)
            button.setProperty("plain", True)
            button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
            button.setMenu(menu)
            row.addWidget(button)

    def _circuit_menu(self) -> QMenu:
        menu = QMenu(self)
        menu.addAction(tr("Open…")).triggered.connect(self.open_asked)
        demos = menu.addMenu(tr("Demo circuits"))
        for name in library.demo_circuits():
            action = demos.addAction(name.replace("&", "&&"))
            action.setData(name)
            action.triggered.connect(self._demo_asked)
        menu.addAction(tr("New, empty")).triggered.connect(self.new_asked)
        menu.addSeparator()
        menu.addAction(tr("Save")).triggered.connect(self._save)
        menu.addAction(tr("Save as…")).triggered.connect(self._save_as)
        return menu

    def _export_menu(self) -> QMenu:
        menu = QMenu(self)
        menu.addAction(tr("Ranking as CSV…")).triggered.connect(self.table_asked)
        menu.addAction(tr("Page as PDF or picture…")).triggered.connect(self.page_asked)
        return menu

    def show_circuit(self, circuit: Circuit | None, *, unsaved: bool, wet: bool) -> None:
        """Name the circuit, with its length, a wet track and whether it has changes that no file has."""
        length = f", {circuit.length_m:.0f} m{(tr(', wet') if wet else '')}" if circuit and circuit.sections else ""
        self.name.setText(f"{(circuit.name if circuit else '') or tr('No circuit')}{length}{(' ●' if unsaved else '')}")
        self.name.setToolTip(tr("The circuit has unsaved changes") if unsaved else "")

    def _shade_changed(self) -> None:
        self.shaded.emit(SHADES[self.shade.currentIndex()])

    def _demo_asked(self) -> None:
        self.demo_asked.emit(self.sender().data())  # type: ignore[attr-defined]

    def _save(self) -> None:
        self.save_asked.emit(False)

    def _save_as(self) -> None:
        self.save_asked.emit(True)


class CircuitOffers(QWidget):
    """Ways out of an empty page: `demo_asked` (name) or `open_asked`."""

    demo_asked = Signal(str)
    open_asked = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        row = Flow()
        self.setLayout(row)
        for name in library.demo_circuits():
            button = QPushButton(name.replace("&", "&&"))
            button.setObjectName(name)
            button.clicked.connect(self._pressed)
            row.addWidget(button)
        other = QPushButton(tr("Open a file…"))
        other.clicked.connect(self.open_asked)
        row.addWidget(other)

    def _pressed(self) -> None:
        self.demo_asked.emit(self.sender().objectName())
