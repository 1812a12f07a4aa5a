"""One step of the fitting, large: what to do, beware of, aim at, where to write, what it says, and the sign-off."""

from __future__ import annotations

import itertools

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.profile import Bike
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.findings import LEVELS, Finding, Level
from gearplan.plan.job.job import is_signed
from gearplan.plan.job.odometer import logged
from gearplan.plan.job.steps.targets import Step
from gearplan.plan.job.verdicts import StepState, step_state
from gearplan.window.fitting.readingfield import BenchButton, BenchField, ReadingField, quiet
from gearplan.window.fitting.stepextras import StepExtras
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import Columns, Scrolled, card, most_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.shapes import VerdictShape

_WORDS: dict[Level, str] = {"fits": "OK", "check": tr("Check"), "does not fit": tr("Out of range")}
#: So much of what a step says is in sight in the lowest window; the rest scrolls.
_LEAST_SEEN = 9 * theme.UNIT


class StepCard(QWidget):
    """Shows one step of a job. `reading` carries (blank, text), `reason` a text; the rest are asked for by key."""

    reading = Signal(str, str)
    reason = Signal(str)
    finished = Signal()
    sign_asked = Signal()
    unsign_asked = Signal()
    moved = Signal(int)
    field_wanted = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._panels: dict[tuple[object, ...], QWidget] = {}
        self.fields: dict[str, ReadingField] = {}
        self._step: Step | None = None
        self._unit: dict[str, str] = {}
        self._field = ""
        self._shown: tuple[object, ...] | None = None
        self._settle = QTimer(self)
        self._settle.setSingleShot(True)
        self._settle.setInterval(0)
        self._settle.timeout.connect(self._into_sight)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        frame, column = card(theme.UNIT, theme.UNIT // 4)
        self._scroll = Scrolled()
        self._scroll.setMinimumHeight(theme.px(_LEAST_SEEN))
        inside = QWidget()
        # Lines of seventy letters in the type of the bench.
        most_width(inside, 700)
        words = QVBoxLayout(inside)
        words.setContentsMargins(0, 0, theme.UNIT, 0)
        self.title, self.how, self.caution = PlainLabel(), PlainLabel(), PlainLabel()
        self.title.setProperty("role", "large")
        self.caution.setStyleSheet("font-weight: bold;")
        self.care = VerdictShape(22)
        self.care.show_level("check")
        beside = QHBoxLayout()
        beside.addWidget(self.care, 0, Qt.AlignmentFlag.AlignTop)
        beside.addWidget(self.caution, 1)
        self.targets, self.tool = PlainLabel(), quiet()
        for label in (self.title, self.how, self.caution, self.targets, self.tool):
            label.setWordWrap(True)
            if not label.property("role"):
                label.setProperty("role", "bench")
            if label is self.caution:
                words.addLayout(beside)
            else:
                words.addWidget(label)
        self.enter = QPushButton(tr("Enter it as service data"))
        self.enter.clicked.connect(self._enter)
        words.addWidget(self.enter, 0, Qt.AlignmentFlag.AlignLeft)
        self.from_log = QPushButton()
        self.from_log.clicked.connect(self._take_offered)
        words.addWidget(self.from_log, 0, Qt.AlignmentFlag.AlignLeft)
        self._offered: tuple[tuple[str, str], ...] = ()
        self._places = QVBoxLayout()
        words.addLayout(self._places)
        words.addLayout(self._reason())
        self.extras = StepExtras()
        words.addWidget(self.extras)
        words.addStretch(1)
        self._scroll.setWidget(inside)
        column.addWidget(self._scroll, 1)
        column.addLayout(self._foot())
        outer.addWidget(frame)

    def _verdict(self) -> QWidget:
        verdict = QWidget()
        row = QHBoxLayout(verdict)
        row.setContentsMargins(0, 0, 0, 0)
        self.shape = VerdictShape(22)
        self.told = PlainLabel()
        self.told.setWordWrap(True)
        self.take = QPushButton()
        self.take.clicked.connect(self._take)
        row.addWidget(self.shape, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.told, 1)
        row.addWidget(self.take, 0, Qt.AlignmentFlag.AlignTop)
        return verdict

    def _reason(self) -> Flow:
        """It scrolls with the fields, so that verdict and sign-off are always in sight."""
        row = Flow()
        self.why = BenchField()
        self.why.entered.connect(self._reason_typed)
        self.why.finished.connect(self.finished)
        self.why.passed.connect(self._to_sign)
        self.why_label = labelled(tr("Rea&son for signing without a reading"), self.why)
        row.addWidget(self.why_label)
        row.addWidget(self.why)
        return row

    def _foot(self) -> QVBoxLayout:
        column = QVBoxLayout()
        self.verdict = self._verdict()
        column.addWidget(self.verdict)
        self.hindrance = quiet()
        column.addWidget(self.hindrance)
        row = Flow()
        self.back, self.sign, self.skip = BenchButton(tr("Back")), BenchButton(""), BenchButton(tr("Next"))
        self.back.clicked.connect(self._back)
        self.skip.clicked.connect(self._next)
        self.sign.setSizePolicy(QSizePolicy.Policy.MinimumExpanding, QSizePolicy.Policy.Fixed)
        self.sign.clicked.connect(self.sign_asked)
        self.sign.setProperty("primary", True)
        self.unsign = BenchButton(tr("Take back"))
        self.unsign.setAccessibleName(tr("Take the sign-off back"))
        self.unsign.clicked.connect(self.unsign_asked)
        row.addWidget(self.back)
        row.addWidget(self.sign)
        row.addWidget(self.unsign)
        row.addWidget(self.skip)
        column.addLayout(row)
        return column

    def show_step(self, bike: Bike, job: Job, step: Step, number: int, count: int) -> None:
        """Show a step of the job as it is now."""
        if self._step is None or step.key != self._step.key:
            self._scroll.verticalScrollBar().setValue(0)
        self._step = step
        state, typed = step_state(bike, job, step), dict(job.readings)
        self.title.setText(f"{number}. {step.title}")
        self.how.setText("\n".join(step.how))
        self.caution.setText(tr("Caution: {caution}", caution=step.caution))
        self.care.setVisible(bool(step.caution))
        self.caution.setVisible(bool(step.caution))
        self.tool.setText(tr("Tool: {tool}", tool=step.tool))
        self.tool.setVisible(bool(step.tool))
        self._show_targets(step)
        self._show_panel(step)
        signed = is_signed(bike, job, step)
        for blank in step.blanks:
            field = self.fields[blank.key]
            field.show_reading(typed.get(blank.key, ""))
            field.prefer_unit(self._unit.get(step.key, ""))
            asked = next((q.text for q in state.questions if q.blank == blank.key), "")
            field.show_problem(dict(state.unread).get(blank.key, "") or asked)
        self._show_verdict(state)
        self._show_offer(logged(bike, job) if step.key == "old_chain" and not signed else ())
        reason = dict(job.reasons).get(step.key, "")
        self.why.show_value(reason, reason or None)
        # Where nothing is to be written down there is nothing to sign without.
        for widget in (self.why_label, self.why):
            widget.setVisible(bool(step.blanks or reason))
        by = dict(job.signed).get(step.key, "")
        stood = "" if signed or not by else tr("Signed by {by}, but the readings have changed. ", by=by)
        before = tr("Before signing: {hindrance}", hindrance=state.hindrance) if state.hindrance and not reason else ""
        if before and state.hindrance in self.told.text():
            before = tr("Before signing: put that right, or state a reason.")
        self.hindrance.setText(tr("Signed off: {by}", by=by) if signed else stood + before)
        self.hindrance.setVisible(bool(self.hindrance.text()))
        self.sign.setText(tr("Next step (F2)") if signed else tr("Sign off, next step (F2)"))
        self.unsign.setVisible(bool(by))
        self.back.setEnabled(number > 1)
        # A signed step has one way on, not two beside each other.
        self.skip.setVisible(not signed)
        self.skip.setEnabled(number < count)

    def focus_first(self) -> None:
        """Put the focus where the hand goes first: the first blank that is empty, or the sign-off."""
        step = self._step
        for blank in step.blanks if step is not None else ():
            if not blank.optional and self.fields[blank.key].is_empty:
                self._focus(self.fields[blank.key])
                return
        self.sign.setFocus(Qt.FocusReason.OtherFocusReason)

    def forget(self) -> None:
        """Another bike or job: drop what was refused for the last one, and the units chosen for it."""
        self._unit.clear()
        for field in self.fields.values():
            field.forget()

    def _show_targets(self, step: Step) -> None:
        told = []
        for target in step.targets:
            where = f" ({target.source})" if target.source else ""
            told.append(f"{target.label}: {target.text or tr('not entered, see the manual')}{where}")
        self.targets.setText("\n".join(told))
        self.targets.setVisible(bool(told))
        self._field = next((target.field for target in step.targets if not target.text), "")
        self.enter.setVisible(bool(self._field))

    def _show_panel(self, step: Step) -> None:
        """The fields of the step's blanks, made when they are first wanted and kept."""
        # What is expected of a blank may change with the service data; its field stays the same.
        kind = tuple((blank.key, blank.label, blank.kind, blank.optional, blank.choices) for blank in step.blanks)
        if kind not in self._panels:
            made = [ReadingField(blank) for blank in step.blanks]
            for field in made:
                field.entered.connect(self.reading)
                field.finished.connect(self.finished)
                field.passed.connect(self._passed)
                field.unit_chosen.connect(self._unit_chosen)
            panel = Columns(list(made)) if made else QWidget()
            self._panels[kind] = panel
            self._places.addWidget(panel)
        if kind == self._shown:
            return
        self._shown = kind
        for other, panel in self._panels.items():
            panel.setVisible(other == kind)
        self.fields |= {f.blank.key: f for f in self._panels[kind].findChildren(ReadingField)}
        # The keyboard goes as the eye does: through the blanks, then to the reason and the sign-off.
        way: list[QWidget] = [self.enter, self.from_log]
        for blank in step.blanks:
            way += [self.fields[blank.key].field, self.fields[blank.key].unit]
        for before, after in itertools.pairwise([*way, self.take, self.why, self.back, self.sign]):
            QWidget.setTabOrder(before, after)

    def _show_verdict(self, state: StepState) -> None:
        # What is wrong comes first: it is what the hand does next.
        found = sorted(state.findings, key=lambda f: -LEVELS.index(f.level))
        sources = [_source(f) for f in found]
        # Of findings that share a source the last one names it.
        told = [
            f"{_WORDS[f.level]}: {f.text}{'' if source in sources[place:] else source}"
            for place, (f, source) in enumerate(zip(found, sources, strict=True), 1)
        ]
        levels: list[Level] = [f.level for f in found]
        if state.questions or state.unread:
            levels.append("check")
            told = [q.text for q in state.questions] + [text for _, text in state.unread] + told
        self.told.setText("\n".join(told))
        # Hidden as a whole: a layout with nothing in it would hold its neighbours narrow.
        self.verdict.setVisible(bool(told))
        self.shape.show_level(max(levels, key=LEVELS.index, default="fits"))
        meant = next((q for q in state.questions if q.meant), None)
        self.take.setVisible(meant is not None)
        if meant is not None:
            self.take.setText(tr("Yes, {meant}", meant=meant.meant))
            self.take.setProperty("blank", meant.blank)
            self.take.setProperty("meant", meant.meant)

    def _show_offer(self, readings: tuple[tuple[str, str], ...]) -> None:
        """What is written down elsewhere need not be typed again."""
        self._offered = readings
        self.from_log.setVisible(bool(readings))
        if readings:
            links, length = (text for _, text in readings)
            self.from_log.setText(
                tr("Take the wear log's newest reading: {length} over {links} links", length=length, links=links)
            )

    def _take_offered(self) -> None:
        for blank, text in self._offered:
            self.reading.emit(blank, text)
        self.finished.emit()
        self.focus_first()

    def _passed(self) -> None:
        """Enter goes on to the next blank, and from the last one to the sign-off."""
        here = self.sender()
        blanks = [] if self._step is None else [self.fields[blank.key] for blank in self._step.blanks]
        after = blanks[blanks.index(here) + 1 :] if here in blanks else []
        if after:
            self._focus(after[0])
        else:
            self._to_sign()

    def _focus(self, field: ReadingField) -> None:
        """Into a field, and into sight where the window is low; a field just made has its place only afterwards."""
        field.focus()
        self._settle.start()

    def _into_sight(self) -> None:
        inside, at = self._scroll.widget(), self._scroll.focusWidget()
        if inside is not None and at is not None and inside.isAncestorOf(at):
            spare = self._scroll.viewport().height() - at.height()
            around = max(min(3 * theme.UNIT, spare // 2), 0) + (at.height() + 1) // 2
            # Of a field with a text cursor Qt itself brings only the cursor into sight.
            middle = at.mapTo(inside, at.rect().center())
            self._scroll.ensureVisible(middle.x(), middle.y(), 0, around)

    def _to_sign(self) -> None:
        self.sign.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take(self) -> None:
        blank, meant = str(self.take.property("blank")), str(self.take.property("meant"))
        field = self.fields[blank]
        self._focus(field)
        field.show_reading(meant)
        self.reading.emit(blank, meant)
        self.finished.emit()

    def _unit_chosen(self, unit: str) -> None:
        if self._step is not None:
            self._unit[self._step.key] = unit
            for blank in self._step.blanks:
                self.fields[blank.key].prefer_unit(unit)

    def _enter(self) -> None:
        self.field_wanted.emit(self._field)

    def _reason_typed(self, text: object) -> None:
        self.reason.emit(str(text or ""))

    def _back(self) -> None:
        self.moved.emit(-1)

    def _next(self) -> None:
        self.moved.emit(1)


def _source(found: Finding) -> str:
    """Where the limit is from, unless the text says so itself."""
    return f" [{found.source}]" if found.source and "(common practice)" not in found.text else ""
