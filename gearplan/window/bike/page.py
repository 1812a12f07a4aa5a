"""The Bike page: the profile as a form that walks the profile's own list of fields."""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, QSize, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import checks
from gearplan.bike.profile import KINDS
from gearplan.bike.text import written
from gearplan.bike.text.units import DEGREE, MM
from gearplan.language import tr
from gearplan.plan.driveset import fitted
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.measurenext import measure_next
from gearplan.plan.set.travel import through_travel
from gearplan.plan.set.words import no_drawing
from gearplan.setup.basics import KIND, blank_basics
from gearplan.window.bike.gearboxform import GearboxForm
from gearplan.window.bike.nextmeasurements import NextMeasurements
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.document.entryrows import EntryRow
from gearplan.window.kit import shownunits, theme
from gearplan.window.kit.controls.fields import ChoiceField, ValueField, labelled
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import FORM, Columns, Scrolled, card, fixed_width, primary
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.measuring.measurer import Measurer
from gearplan.window.measuring.panel import WIDTH

if TYPE_CHECKING:
    from gearplan.window.kit.charts.pairchart import PairChart
    from gearplan.window.kit.charts.runpicture import RunPicture
    from gearplan.window.photo.dialog import PhotoDialog

#: From this width on, at the usual size of text, the page has room for how to measure beside two columns.
_WITH_PANEL = 1060
_ANY = (1 << 24) - 1
#: A field that is gone to shows so much of what stands above and below it.
_AROUND = 150
#: From this width on, at the usual size of text, what was entered is drawn beside the form.
_WITH_PICTURE = 2100

_COLUMNS = (
    (
        (tr("Whose motorcycle"), "owner", ("name", "contact", "registration", "frame_number", "note")),
        (tr("Engine"), "engine", ("idle_rpm", "redline_rpm", "limiter_rpm")),
        (tr("Rear tyre"), "tyre", ("size", "rolling_circumference_mm", "rolling_factor")),
        (tr("Weights"), "load", ("bike_kg", "rider_kg")),
        (tr("Limits from the service data"), "limits", ("front_teeth_min",)),
    ),
    (
        (tr("Gearbox"), "gearbox", ()),
        (
            tr("Final drive, as fitted"),
            "final_drive",
            (
                "chain",
                "front",
                "rear",
                "links",
                "elongation_percent",
                "offset_link",
                "chain_tensile_kn",
                "chain_mass_kg_per_m",
            ),
        ),
    ),
    (
        (
            tr("Swingarm and adjuster"),
            "chassis",
            (
                "adjuster_left_mm",
                "centre_distance_mm",
                "sprocket_from_pivot_mm",
                "axle_range_mm",
                "axle_now_mm",
                "swingarm_angle_deg",
                "swingarm_travel_deg",
                "pivot_boss_radius_mm",
                "slack_mm",
                "wheelbase_mm",
                "com_height_mm",
                "com_ahead_of_rear_axle_mm",
            ),
        ),
    ),
)


class BikePage(QWidget):
    """The editor. Every entry goes to the document as it is typed; errors stand beside their field.

    How the field with the focus is measured is shown beside the form, or in a window of its own where it has no room.
    """

    #: The basics are wanted in one form.
    basics_asked = Signal()
    #: Whether owner, registration and frame number are printed is to change.
    owner_on_paper = Signal(bool)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._measurer = Measurer(document, self)
        self.rows: dict[tuple[str, str], EntryRow] = {}
        self._forms: list[EntryForm] = []
        self.gearbox = GearboxForm(document)
        inside = QWidget()
        outer = QVBoxLayout(inside)
        outer.setContentsMargins(0, 0, theme.UNIT, 0)
        outer.setSpacing(theme.UNIT)
        outer.addWidget(self._name())
        columns = []
        for cards in _COLUMNS:
            side = QWidget()
            column = QVBoxLayout(side)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(theme.UNIT)
            for title, section, keys in cards:
                column.addWidget(self._card(title, section, keys))
            column.addStretch(1)
            columns.append(side)
        self._columns = Columns(columns, close=True, forms=True)
        self._picture, self._picture_place = card()
        self._picture.hide()
        beside = QHBoxLayout()
        beside.setSpacing(theme.UNIT)
        # The columns take all until they are as wide as they may be.
        beside.addWidget(self._columns, 100)
        beside.addWidget(self._picture, 1)
        outer.addLayout(beside, 1)
        self._form = Scrolled(inside, across=True)
        self.measuring = self._measurer.panel()
        fixed_width(self.measuring, WIDTH)
        self._beside = Scrolled(self.measuring)
        for entry_row in (*self.rows.values(), *self.gearbox.rows.values()):
            self._measurer.follow(entry_row)
        self.photo: PhotoDialog | None = None
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.UNIT)
        row.addWidget(self._form, 1)
        row.addWidget(self._beside)

    def minimumSizeHint(self) -> QSize:
        """What the form needs: the panel beside it comes only where there is room."""
        return self._form.minimumSizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The panel needs a width of its own beside two columns of the form."""
        super().resizeEvent(event)
        beside = event.size().width() >= theme.px(_WITH_PANEL)
        self._beside.setVisible(beside)
        self.ask_measuring.setVisible(not beside)
        pictured = event.size().width() >= theme.px(_WITH_PICTURE)
        # Beside a picture the columns are as wide as forms can be read, and the picture has the rest.
        widest = 3 * theme.px(FORM) + 2 * theme.UNIT if pictured else _ANY
        self._columns.setMaximumWidth(max(widest, self._columns.minimumSizeHint().width()))
        if pictured != self._picture.isVisibleTo(self):
            self._picture.setVisible(pictured)
            self._show_picture()

    @cached_property
    def run(self) -> RunPicture:
        """The chain run as entered; made when there first is room for it."""
        from gearplan.window.kit.charts.runpicture import RunPicture

        run = RunPicture(tr("As entered, to scale"))
        self._picture_place.addWidget(run, 1)
        return run

    @cached_property
    def slack(self) -> PairChart:
        """What the slack does through the travel as entered."""
        from gearplan.window.kit.charts.pairchart import PairChart

        chart = PairChart(tr("slack, mm"), MM, tr("swingarm below horizontal, °"), DEGREE)
        self._picture_place.addWidget(chart, 1)
        return chart

    def _show_picture(self) -> None:
        if not self._picture.isVisibleTo(self):
            return
        bike = self._document.bike
        result = evaluate(bike, fitted(bike))
        self.run.show_sets(bike, None, result, no_drawing(result)[0])
        way, angle = (
            through_travel(bike, result.set, result.run, result.rolling_radius),
            bike.chassis.swingarm_angle_deg,
        )
        self.slack.setVisible(way is not None)
        units = shownunits.current()
        self.slack.measure_in(tr("slack, {name}", name=units.name("mm")), units.size("mm"))
        stands = None if angle is None else angle * DEGREE
        self.slack.show_lines(None, None if way is None else (way.angle, way.slack), stands)

    def how_to_measure(self) -> bool:
        """Show in a window how the field with the focus is measured; False where there is none such."""
        return self._measurer.asked()

    def measure_from_photograph(self) -> None:
        """Open the window in which the swingarm is measured from a photograph, with the points that were set before."""
        from gearplan.window.photo.dialog import PhotoDialog

        if self.photo is None:
            self.photo = PhotoDialog(self._document, self)
        self.photo.open()

    def measure_on(self, picture: Path) -> None:
        """Open it on another picture, if the points on the one before may go."""
        self.measure_from_photograph()
        assert self.photo is not None
        if not self.photo.work.points or self.photo.may_drop():
            self.photo.open_picture(picture)

    def _name(self) -> QFrame:
        frame, row = card()
        self.name = ValueField(str.strip)
        self.name.setMaxLength(200)
        self.name.setPlaceholderText(tr("What this motorcycle is called"))
        self.name.entered.connect(self._named)
        self.name.finished.connect(self._document.end_merge)
        self.kind = ChoiceField(KINDS)
        self.kind.entered.connect(self._kind_chosen)
        # All else is kept as it is typed and needs no button.
        self.basics = primary(QPushButton(tr("Quick entry")))
        self.basics.setToolTip(
            tr("Tyre, teeth, links, chain size, redline and number of gears, with where each is found")
        )
        self.basics.clicked.connect(self._ask_basics)
        named = Flow()
        named.addWidget(together(labelled(tr("&Name"), self.name), self.name, grows=True))
        named.addWidget(together(labelled(tr("&Kind"), self.kind), self.kind))
        named.addWidget(self.basics)
        row.addLayout(named)
        hint = PlainLabel(
            tr("Grey figures are computed or assumed; type over them to enter your own. A unit may follow any number.")
        )
        hint.setProperty("role", "small")
        hint.setWordWrap(True)
        self.next = NextMeasurements()
        self.next.field_wanted.connect(self.show_field)
        self.ask_measuring = QPushButton(tr("How to measure (F1)"))
        # The field that it tells of keeps the focus.
        self.ask_measuring.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.ask_measuring.clicked.connect(self._measurer.show_window)
        said = QHBoxLayout()
        said.addWidget(hint, 1)
        said.addWidget(self.ask_measuring)
        row.addLayout(said)
        row.addWidget(self.next)
        return frame

    def _card(self, title: str, section: str, keys: tuple[str, ...]) -> QFrame:
        frame, column = card(2 * theme.UNIT)
        head = PlainLabel(title)
        head.setProperty("role", "title")
        column.addWidget(head)
        if section == "gearbox":
            column.addWidget(self.gearbox)
            return frame
        if section == "chassis":
            self.photo_button = QPushButton(tr("Measure from a photograph…"))
            self.photo_button.clicked.connect(self.measure_from_photograph)
            column.addWidget(self.photo_button, 0, Qt.AlignmentFlag.AlignLeft)
        form = EntryForm(self._document, tuple((section, key) for key in keys))
        self._forms.append(form)
        self.rows.update(form.rows)
        column.addWidget(form)
        if section == "owner":
            self.on_paper = TickBox(tr("Print it on sheets, without the contact"))
            self.on_paper.toggled.connect(self.owner_on_paper)
            column.addWidget(self.on_paper)
        if section == "tyre":
            self.rolls = PlainLabel()
            self.rolls.setProperty("role", "small")
            self.rolls.setWordWrap(True)
            column.addWidget(self.rolls)
        return frame

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike = self._document.bike
        self.name.show_value(bike.name, bike.name or None)
        # A kind that only the file knows stands there as it does in the file.
        self.kind.setPlaceholderText("" if bike.kind in KINDS else bike.kind)
        self.kind.show_choice(bike.kind)
        self.basics.setVisible(any(place != KIND for place in blank_basics(bike)))
        problems = checks.check_bike(bike)
        for form in self._forms:
            form.refresh(problems)
        self.gearbox.refresh(tuple(p for p in problems if p.section == "gearbox"))
        self.next.show_next(measure_next(bike, evaluate(bike, self._document.chosen)))
        result = evaluate(bike, fitted(bike))
        about = [f.text for f in result.findings if f.about == "rolling circumference"]
        if result.rolling_circumference is not None and result.rolls_by == "measured":
            about = [
                tr(
                    "Rolls {rolling_circumference} mm a turn, as measured.",
                    rolling_circumference=written.number(result.rolling_circumference, MM, 0),
                )
            ]
        self.rolls.setText(" ".join(about))
        self._show_picture()

    def show_owner_on_paper(self, on: bool) -> None:
        """Whether the shop wants the owner on paper."""
        with QSignalBlocker(self.on_paper):
            self.on_paper.setChecked(on)

    def forget(self) -> None:
        """Another bike was opened: drop text that was refused for the last one, and its photograph."""
        if self.photo is not None:
            self.photo.forget()
        for field in self.findChildren(ValueField):
            field.forget()
        self._measurer.forget()

    def finish(self) -> None:
        """The window goes: no work is left behind."""
        if self.photo is not None:
            self.photo.telling.finish()

    def recolour(self) -> None:
        """The style sheet colours the form."""
        for name in ("run", "slack"):
            if name in self.__dict__:
                getattr(self, name).recolour()
        if self.photo is not None:
            self.photo.points.refresh()

    def holds(self, path: str) -> bool:
        """Whether a field ("section.key") of the profile stands on this page."""
        section, key = path.split(".")
        return section == "gearbox" or (section, key) in self.rows

    def show_field(self, path: str) -> None:
        """Bring a field ("section.key") into sight and put the focus into it."""
        section, key = path.split(".")
        if section == "gearbox":
            self.gearbox.focus(key)
        elif row := self.rows.get((section, key)):
            row.focus()
            self._form.ensureWidgetVisible(row.places()[0][1], 0, _AROUND)

    def _ask_basics(self) -> None:
        self.basics_asked.emit()

    def _kind_chosen(self, value: object) -> None:
        self._document.edit(tr("Kind"), replace(self._document.bike, kind=value or KINDS[0]))  # type: ignore[arg-type]

    def _named(self, value: object) -> None:
        bike = replace(self._document.bike, name=value or "")  # type: ignore[arg-type]
        self._document.edit(tr("Name"), bike, merge="name")
