"""Both drive sets, the sliders for the proposed one, and the verdict, over every page that shows what a set does."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from PySide6.QtCore import QSize, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike import checks, profile
from gearplan.language import decimal, tr
from gearplan.plan import words
from gearplan.plan.driveset import fitted
from gearplan.plan.set import words as setwords
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import SetResult, evaluate, fitted_and
from gearplan.plan.set.measurenext import measure_next
from gearplan.plan.set.verdict import verdict
from gearplan.window.document.document import Document
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.layout import fixed_width, stretch
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.kit.shapes import HowButton, LineSample
from gearplan.window.kit.view import View

from .invitation import Invitation
from .slimbar import SlimBar
from .teethslider import TeethSlider
from .verdictview import VerdictView

#: So large is a window that has room for the sliders, at the usual size of text.
_ROOMY = QSize(940, 660)
#: What stands in a row with them: where it is longer, more room is needed.
_IN_A_ROW = ("Use {nearest} links", "Measure next", "{n} check passed", "Does not fit", "Fits", "Front sprocket")
#: So wide is the room in which the next measurement is named beside the verdict.
_WITH_NEXT = 900
#: From this width on the verdict is written as large as a page's own answer.
_WITH_LARGE = 1600
#: So wide is the room in which the samples of both sets' lines stand beside their names.
_WITH_SAMPLES = 390
#: So many lines of the verdict can be read at once while the bar is folded.
_FOLDED_LINES = 2


class SetBar(QFrame):
    """Both sets and the verdict; `slim` is the row in its place on pages where no other set is tried.

    `tried` says that something else than the fitted set is proposed, `how_asked` names the number that somebody wants
    explained, `field_wanted` the field of the next measurement.
    """

    how_asked = Signal(str)
    field_wanted = Signal(str)
    tried = Signal()

    def __init__(self, document: Document, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self._document = document
        self._view = view
        document.unread_changed.connect(self._unread_changed)
        self._lines = QVBoxLayout(self)
        self._lines.setContentsMargins(2 * theme.UNIT, theme.UNIT, 2 * theme.UNIT, theme.UNIT)
        self.slim = SlimBar()
        self.slim.hide()
        self.slim.wanted.connect(self._open_slim)
        #: Whether the row stands in its place, and whether the set is not to be moved from here.
        self._is_slim = self._is_still = False
        #: Whether somebody who has not tried anything yet is asked what should be different.
        self.invites = True
        row = self._row = QHBoxLayout()
        row.setSpacing(3 * theme.UNIT)
        self._lines.addLayout(row)
        self.controls = QWidget()
        self.controls.setLayout(self._controls())
        row.addLayout(self._sets())
        row.addWidget(self.controls)
        self.verdict = VerdictView()
        self._beside_verdict()
        row.addWidget(self.verdict, 1)
        #: Whether the user has said that the sliders are to be seen or not, in a window that is low.
        self._wanted: bool | None = None
        self._roomy, self._narrow, self._wide_enough, self._with_samples = True, False, True, True

    def fit(self, room: QSize) -> None:
        """Fold the sliders away where the window is too low or too narrow for them; a press unfolds them."""
        least = theme.px(_ROOMY.width()) * stretch(*_IN_A_ROW)
        roomy = room.width() >= least and room.height() >= theme.px(_ROOMY.height())
        if roomy != self._roomy:
            self._roomy, self._wanted = roomy, None
        self.slim.fit(roomy=roomy)
        narrow = room.width() < least
        self.verdict.write_large(room.width() >= theme.px(_WITH_LARGE))
        self._wide_enough = room.width() >= theme.px(_WITH_NEXT)
        self._with_samples = room.width() >= theme.px(_WITH_SAMPLES)
        if narrow != self._narrow:
            # Unfolded, the sliders stand below where they have no room beside the sets.
            self._narrow = narrow
            self._row.setSpacing((1 if narrow else 3) * theme.UNIT)
            beside = (1 if narrow else 2) * theme.UNIT
            self._lines.setContentsMargins(beside, theme.UNIT, beside, theme.UNIT)
            if narrow:
                self._lines.addWidget(self.controls)
            else:
                self._row.insertWidget(1, self.controls)
        self._show_folded()

    def show_as(self, *, slim: bool, still: bool, silent: bool = False) -> None:
        """Be one row where no set is tried; `still`: the set cannot be moved from here even if the row is opened.

        `silent`: the row leaves the cautions to the page.
        """
        self.slim.silent = silent
        self._is_slim, self._is_still = slim, still
        self.slim.setVisible(slim)
        self.setVisible(not slim)
        self._show_folded()
        if slim:
            self._show_verdict(evaluate(self._document.bike, self._document.chosen))

    def _open_slim(self) -> None:
        self.show_as(slim=False, still=self._is_still)

    @property
    def folded(self) -> bool:
        """Whether the sliders are folded away."""
        return self.unfold.isVisibleTo(self) and not self.unfold.isChecked()

    def _show_folded(self) -> None:
        open_now = self._roomy or bool(self._wanted)
        self.unfold.setVisible(not (self._roomy or self._is_still))
        self.unfold.setChecked(open_now)
        self.controls.setVisible(open_now and not self._is_still)
        for widget in self._details:
            widget.setVisible(open_now and not self._narrow)
        # In the least room the Bike page alone tells what to measure next.
        self.next.setVisible(self._roomy or (not open_now and self._wide_enough))
        # Whole lines, and where the sliders stand beside them as many as have room there.
        self.verdict.show_lines(_FOLDED_LINES)
        self.verdict.give_room(self._roomy)
        self._show_second()

    def _show_second(self) -> None:
        """The proposed set where it is another; else the question what should be different, where there is room."""
        room = self._roomy and not (self._narrow or self._is_still)
        same = room and self._document.chosen == fitted(self._document.bike)
        for widget in (*self._second, self.invitation, self.hint):
            policy = widget.sizePolicy()
            policy.setRetainSizeWhenHidden(room)
            widget.setSizePolicy(policy)
        for widget in self._second:
            widget.setVisible(not same and (room or widget not in self._details))
        for sample in self._samples:
            sample.setVisible(self._with_samples and not (same and sample in self._second))
        self.invitation.setVisible(same and self.invites)
        self.hint.setVisible(same and not self.invites)

    def _unfolded(self, on: bool) -> None:
        self._wanted = on
        self._show_folded()

    def _sets(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 2)
        #: What is left out while the bar is folded.
        self._details: list[QWidget] = []
        self._samples = [LineSample(dashed=dashed) for dashed in (True, False)]
        self.fitted_teeth, self.fitted_rest = PlainLabel(), PlainLabel()
        self.proposed_teeth, self.proposed_rest = PlainLabel(), PlainLabel()
        self.fitted_ratio, self.proposed_ratio = HowButton(), HowButton()
        for line, (name, teeth, rest, ratio, key) in enumerate(
            (
                (tr("Fitted"), self.fitted_teeth, self.fitted_rest, self.fitted_ratio, "fitted"),
                (tr("Proposed"), self.proposed_teeth, self.proposed_rest, self.proposed_ratio, "proposed"),
            )
        ):
            title = PlainLabel(name)
            title.setProperty("role", "quiet")
            teeth.setProperty("role", "title")
            rest.setProperty("role", "small")
            ratio.setToolTip(tr("Final ratio, rear ÷ front teeth. Press for how it is computed."))
            ratio.setObjectName(f"final_ratio:{key}")
            ratio.setAccessibleDescription(
                tr("Final ratio of the fitted set") if key == "fitted" else tr("Final ratio of the proposed set")
            )
            ratio.clicked.connect(self._ask_how)
            shown = (
                self._samples[line],
                title,
                FixedSize(teeth, theme.TITLE, sample="00/000", bold=True),
                FixedSize(ratio, theme.TITLE, sample="0.0000", lines=1),
            )
            for column, widget in enumerate(shown):
                grid.addWidget(widget, 3 * line, column)
            details = FixedSize(rest, theme.SMALL)
            self._details.append(details)
            grid.addWidget(details, 3 * line + 1, 1, 1, 3)
        # The last line is the proposed set's.
        self._second: list[QWidget] = [*shown, details]
        self.feel = PlainLabel()
        feel = FixedSize(self.feel, theme.BODY, sample=tr("same ratio as fitted, 100 %"))
        self._details.append(feel)
        self._second.append(feel)
        grid.addWidget(feel, 5, 1, 1, 3)
        self.invitation = Invitation()
        self.hint = PlainLabel(tr("Drag a slider to try another set."))
        self.hint.setProperty("role", "quiet")
        for instead in (self.invitation, self.hint):
            instead.setProperty("overlay", True)
            grid.addWidget(instead, 3, 0, 3, 4)
        grid.setRowStretch(2, 1)
        return grid

    def _controls(self) -> QGridLayout:
        grid = QGridLayout()
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(theme.UNIT)
        grid.setVerticalSpacing(theme.UNIT // 4)
        self.sliders: dict[str, TeethSlider] = {}
        self.fields: dict[str, NumberField] = {}
        self.errors = ErrorLabel()
        for line, (part, label, step) in enumerate(
            (("front", tr("Fron&t sprocket"), 1), ("rear", tr("&Rear sprocket"), 1), ("links", tr("Chain &links"), 2))
        ):
            unit = profile.entry("final_drive", part).unit
            field = NumberField(partial(_refused, part), unit=unit, whole=True, step=step, patient=True)
            fixed_width(field, 56)
            field.errors = self.errors
            field.setObjectName(part)
            field.stands_for(f"proposed.{part}", tr("Proposed {names}", names=_NAMES[part]))
            field.entered.connect(self._typed)
            field.unread.connect(self._document.note_unread)
            field.finished.connect(self._document.end_merge)
            self.fields[part] = field
            grid.addWidget(labelled(label, field), line, 0)
            grid.addWidget(field, line, 1)
            if part == "links":
                break
            slider = TeethSlider()
            slider.setAccessibleName(tr("{part}, teeth", part=label.replace("&", "")))
            slider.setObjectName(part)
            slider.valueChanged.connect(self._slid)
            slider.sliderReleased.connect(self._document.end_merge)
            slider.sliderReleased.connect(self._let_go)
            self.sliders[part] = slider
            grid.addWidget(slider, line, 2)
        buttons = QHBoxLayout()
        buttons.setSpacing(theme.UNIT)
        self.as_fitted = QPushButton(tr("As fitted"))
        self.as_fitted.setToolTip(tr("Propose what is on the bike now"))
        self.as_fitted.clicked.connect(self._propose_fitted)
        self.use_links = QPushButton()
        self.use_links.clicked.connect(self._propose_links)
        buttons.addWidget(self.as_fitted)
        kept = self.use_links.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self.use_links.setSizePolicy(kept)
        fixed_width(self.use_links, round(112 * stretch("Use {nearest} links")))
        buttons.addWidget(self.use_links)
        buttons.addStretch(1)
        grid.addLayout(buttons, 2, 2)
        grid.addWidget(self.errors, 3, 0, 1, 3)
        return grid

    def _beside_verdict(self) -> None:
        self.next = QPushButton(tr("Measure next"))
        self.next.clicked.connect(self._ask_next)
        self.verdict.beside.addWidget(self.next)
        self.unfold = QPushButton(tr("Sliders"))
        self.unfold.setCheckable(True)
        self.unfold.setToolTip(tr("Show or hide the fields and sliders of the proposed set"))
        self.unfold.clicked.connect(self._unfolded)
        self.verdict.beside.addWidget(self.unfold)

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike, chosen = self._document.bike, self._document.chosen
        on, proposed = fitted_and(bike, chosen)
        self._show_set(on, self.fitted_teeth, self.fitted_rest, self.fitted_ratio)
        self._show_set(proposed, self.proposed_teeth, self.proposed_rest, self.proposed_ratio)
        self.feel.setText(setwords.feel(setwords.change(on, proposed)))
        if chosen != on.set and self.invites:
            self.tried.emit()
        self._show_second()
        for part, slider in self.sliders.items():
            low, high = self._view.teeth_range(part, bike)
            slider.show_teeth(low, high, getattr(chosen, part), getattr(on.set, part))
        for part, field in self.fields.items():
            field.show_number(getattr(chosen, part))
        self.as_fitted.setEnabled(chosen != on.set)
        self._show_verdict(proposed)
        if not any(slider.isSliderDown() for slider in self.sliders.values()):
            self._show_next(proposed)
        nearest = proposed.run.links_to_order
        wanted = nearest is not None and nearest != chosen.links
        self.use_links.setVisible(wanted)
        if wanted:
            self.use_links.setText(tr("Use {nearest} links", nearest=nearest))
            self.use_links.setProperty("links", nearest)

    def _show_set(self, result: SetResult, teeth: QLabel, rest: QLabel, ratio: QPushButton) -> None:
        teeth.setText(words.teeth(result.set))
        rest.setText(words.chain_name(result.set))
        ratio.setText("–" if result.final_ratio is None else decimal(f"{result.final_ratio:.3f}"))

    def _show_verdict(self, result: SetResult) -> None:
        left_out = [words.unread(*told) for told in self._document.unread(*profile.SECTIONS, "job", "proposed")]
        said = verdict(judged(self._document.bike, result), left_out)
        self.verdict.show_verdict(said)
        self.setAccessibleName(
            tr("Proposed set {set_name}: {head}", set_name=words.set_name(result.set), head=said.head)
        )
        if self._is_slim:
            self.slim.show_sets(evaluate(self._document.bike, fitted(self._document.bike)), result, said)

    def _show_next(self, result: SetResult) -> None:
        """The measurement that is worth most; without one the button keeps its place."""
        asked = next(iter(measure_next(self._document.bike, result)), None)
        self.next.setEnabled(asked is not None)
        self.next.setProperty("field", "" if asked is None else asked.field)
        told = tr("Nothing would make these answers surer.") if asked is None else f"{asked.text}\n{asked.how}".strip()
        self.next.setToolTip(plain(told))
        self.next.setAccessibleDescription(told)

    def _ask_next(self) -> None:
        self.field_wanted.emit(self.next.property("field"))

    def _slid(self, value: int) -> None:
        slider = self.sender()
        assert isinstance(slider, TeethSlider)
        self._propose_part(slider.objectName(), value)
        if not slider.isSliderDown():
            self._document.end_merge()

    def _let_go(self) -> None:
        self._show_next(evaluate(self._document.bike, self._document.chosen))

    def _typed(self, value: object) -> None:
        assert value is None or isinstance(value, int)
        self._propose_part(self.sender().objectName(), value)

    def _unread_changed(self) -> None:
        self._show_verdict(evaluate(self._document.bike, self._document.chosen))

    def _propose_part(self, part: str, value: int | None) -> None:
        if value is None:
            label = tr("Propose no {names}", names=_NAMES[part])
        else:
            label = (
                tr("Propose {value} links", value=value)
                if part == "links"
                else tr("Propose {part} sprocket {value}", part=part, value=value)
            )
        chosen = replace(self._document.chosen, **{part: value})  # type: ignore[arg-type]
        self._document.propose(chosen, label, tr("proposed {part}", part=part))

    def _ask_how(self) -> None:
        self.how_asked.emit(self.sender().objectName())

    def step(self, part: str, by: int) -> None:
        """Change one tooth count from the keyboard, from anywhere in the window."""
        if (now := getattr(self._document.chosen, part)) is not None and _refused(part, now + by) is None:
            self._propose_part(part, now + by)
            self._document.end_merge()

    def _propose_fitted(self) -> None:
        self._document.propose(fitted(self._document.bike), tr("Propose what is fitted"))

    def _propose_links(self) -> None:
        links = self.use_links.property("links")
        self._document.propose(replace(self._document.chosen, links=links), tr("Propose {links} links", links=links))


_NAMES = {"front": "front sprocket", "rear": "rear sprocket", "links": tr("chain links")}


def _refused(part: str, value: float) -> str | None:
    return checks.check_value("final_drive", part, value)
