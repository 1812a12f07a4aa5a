"""How the field with the focus is measured: its sketch and three sentences, beside a form or in a window of its own."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QFrame, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.measuring import measured_at, measured_fields
from gearplan.bike.profile import entry
from gearplan.language import tr
from gearplan.setup.ways import ways_to
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.layout import Scrolled
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.measuring.readingsdialog import ReadingsDialog
from gearplan.window.measuring.sketchview import LEAST, SketchView

_NOTHING = tr("Put the cursor into a field of swingarm, tyre, weights or final drive: here stands how it is measured.")
#: Width of the panel beside a form, at the usual size of text.
WIDTH = LEAST.width() + 40


class MeasuringPanel(QFrame):
    """Title, sketch and sentences; they change with the field, the places do not.

    `kept` are the readings typed for other ways to measure, by key.
    """

    def __init__(self, document: Document, kept: dict[str, float], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._kept, self._path = document, kept, ""
        self.setProperty("card", True)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[2 * theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        self.title, self.words, self.sketch = PlainLabel(), PlainLabel(), SketchView()
        self.title.setProperty("role", "title")
        for label in (self.title, self.words):
            label.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        titles = max((_title(field) for field in measured_fields()), key=len)
        column.addWidget(FixedSize(self.title, theme.TITLE, bold=True, longest=titles))
        column.addWidget(self.sketch)
        longest = max((_told(field) for field in measured_fields()), key=len)
        column.addWidget(FixedSize(self.words, theme.BODY, longest=longest))
        self.ask_readings = QPushButton(tr("From measurements…"))
        self.ask_readings.clicked.connect(self._ask_readings)
        policy = self.ask_readings.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self.ask_readings.setSizePolicy(policy)
        column.addWidget(self.ask_readings, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(1)
        self.show_field("")

    def show_field(self, path: str) -> None:
        """Show how a field ("section.key", or "section.key.0" for a pair's half) is measured; all else: what to do."""
        self._path = ".".join(path.split(".")[:2])
        found = measured_at(path)
        self.ask_readings.setVisible(bool(ways_to(self._path)))
        if found is None:
            self.title.setText(tr("How to measure"))
            self.words.setText(_NOTHING)
            self.sketch.show_sketch("motorcycle", "", "motorcycle", _NOTHING)
            return
        title, told = _title(path), "\n\n".join(found.sentences)
        self.title.setText(title)
        self.words.setText(told)
        self.sketch.show_sketch(found.sketch, path, title, told)

    def _ask_readings(self) -> None:
        ReadingsDialog(self._document, self._path, self._kept, self.window()).open()


class MeasuringWindow(QDialog):
    """The panel in a window of its own, where a form has no room beside it; the form can be used meanwhile."""

    def __init__(self, document: Document, kept: dict[str, float], parent: QWidget) -> None:
        super().__init__(parent)
        self.setWindowTitle(tr("How to measure"))
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        self.panel = MeasuringPanel(document, kept)
        column.addWidget(Scrolled(self.panel), 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column.addWidget(buttons)
        self._around = buttons.sizeHint().height() + 3 * theme.UNIT

    def fit(self) -> None:
        """Become as high as the longest text needs, or the screen allows."""
        wide = theme.px(WIDTH) + 6 * theme.UNIT
        inside = self.panel.layout()
        assert inside is not None
        high = inside.totalHeightForWidth(wide - 6 * theme.UNIT) + self._around
        self.resize(QSize(wide, high).boundedTo(self.screen().availableSize()))


def _title(path: str) -> str:
    if path == "kind":
        return tr("Kind")
    section, key, *half = path.split(".")
    what = entry(section, key)
    return f"{what.label}: {what.parts[int(half[0])]}" if half else what.label


def _told(path: str) -> str:
    found = measured_at(path)
    return "\n\n".join(found.sentences) if found is not None else ""
