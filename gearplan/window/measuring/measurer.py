"""How to measure, for one page: follows the focus through its fields, in a panel beside them or a window of its own."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint
from PySide6.QtWidgets import QApplication, QWidget

from gearplan.bike.measuring import measured_at
from gearplan.window.document.document import Document
from gearplan.window.document.entryrows import EntryRow
from gearplan.window.measuring.panel import MeasuringPanel, MeasuringWindow


class Measurer(QObject):
    """Knows which field of a page had the focus last, and shows how it is measured."""

    def __init__(self, document: Document, page: QWidget) -> None:
        super().__init__(page)
        self._document, self._page = document, page
        #: Readings typed for other ways to measure, until another bike is opened.
        self._readings: dict[str, float] = {}
        self._panels: list[MeasuringPanel] = []
        self._window: MeasuringWindow | None = None
        self._path = ""

    def follow(self, row: EntryRow) -> None:
        """Follow the focus into a row."""
        for place, field in row.places():
            self.follow_field(place, field)

    def follow_field(self, place: str, field: QWidget) -> None:
        """Follow the focus into a field, which is measured as this one of the profile ("section.key")."""
        field.setProperty("measured", place)
        field.installEventFilter(self)

    def panel(self) -> MeasuringPanel:
        """A panel for the page itself."""
        made = MeasuringPanel(self._document, self._readings)
        self._add(made)
        return made

    def asked(self) -> bool:
        """Somebody asks at the field with the focus; False where it is not measured."""
        at = QApplication.focusWidget()
        place = at.property("measured") if at is not None else None
        if not place or measured_at(place) is None:
            return False
        self.show_window()
        return True

    def show_window(self) -> None:
        """Show the window, away from the field that it tells of."""
        if self._window is None:
            self._window = MeasuringWindow(self._document, self._readings, self._page)
            self._add(self._window.panel)
        self._window.fit()
        around, at = self._page.window().frameGeometry(), QApplication.focusWidget()
        middle = at.mapToGlobal(QPoint(at.width() // 2, 0)).x() if at is not None else around.left()
        left = around.left() if middle > around.center().x() else around.right() - self._window.width()
        self._window.move(left, max(around.center().y() - self._window.height() // 2, around.top()))
        self._window.show()

    def forget(self) -> None:
        """Another bike was opened."""
        self._readings.clear()

    def _add(self, panel: MeasuringPanel) -> None:
        self._panels.append(panel)
        panel.show_field(self._path)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A field takes the focus."""
        if event.type() == QEvent.Type.FocusIn:
            self._path = watched.property("measured")
            for panel in self._panels:
                panel.show_field(self._path)
        return False
