"""The ranking of a circuit as a table with its plateau, and where the proposed set wins and loses."""

from __future__ import annotations

import math
from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from gearplan.bike.text.units import RPM
from gearplan.language import decimal, tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import level_words
from gearplan.plan.laps.compare import gain_sentences
from gearplan.plan.laps.ranges import LapRange
from gearplan.plan.laps.ranking import LapRanking, LapRow, Wanted
from gearplan.plan.laps.spread import LONGEST_TIED, Plateau
from gearplan.plan.laps.text import chain_text, grouped, pinned, row_texts, same_set, tied_gaps, tied_rows
from gearplan.plan.laps.view import LapView, use_rows
from gearplan.window.circuit.pinned import PinnedSets
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import ErrorLabel, labelled
from gearplan.window.kit.controls.numberfield import NumberField
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.places.flow import Flow, together
from gearplan.window.kit.places.layout import fixed_width
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.kit.view import View

_LIMITER, _BESIDES = tr("limiter, s"), "besides"
_HEADS = (
    "",
    tr("set"),
    tr("links"),
    tr("lap"),
    tr("gap, s"),
    tr("shifts"),
    _LIMITER,
    tr("apex rpm"),
    tr("chain"),
    _BESIDES,
)
_NOTE = tr(
    "Tied sets: the fewest up-shifts first. Apex rpm: the lowest. A click proposes; rest the pointer on a row for its "
    "findings. Tow margin: what is left to the limiter on the fastest straight. Grey: where the tied sets lie; dashed: "
    "the fitted set."
)
#: More rows nobody reads; the export has them all.
_MOST_ROWS = 120


class RankingTab(QWidget):
    """All sets by lap time.

    `proposed` carries the set of a row that was picked, `boxed` the gearbox that is wanted in the bike; `filtered` says
    that other rows are wanted, `cancelled` that enough is ridden, `resumed` that it is not.
    """

    proposed = Signal(object)
    boxed = Signal(object)
    filtered = Signal()
    cancelled = Signal()
    resumed = Signal()

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        self._rows: tuple[LapRow, ...] = ()
        self._shown: tuple[LapRanking, Plateau | None, Wanted] | None = None
        self._texts: list[tuple[str, ...]] = []
        self._words = ""
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT // 2)
        self.words = PlainLabel()
        self.words.setProperty("role", "small")
        self.words.setWordWrap(True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.pins = PinnedSets()
        self.pins.picked.connect(self.proposed)
        column.addWidget(self.pins)
        column.addWidget(FixedSize(self.words, theme.SMALL, lines=2, longest=LONGEST_TIED))
        self.take_box = QPushButton()
        self.take_box.clicked.connect(self._box_taken)
        self.take_box.hide()
        column.addWidget(self.take_box)
        column.addLayout(self._waiting())
        column.addLayout(self._filters())
        column.addWidget(self.errors)
        self.table = TextTable(
            tr("Sets, the tied ones first"),
            quiet=(0,),
            bold=(3,),
            left=(0, 1),
            zeros=(_HEADS.index(_LIMITER),),
            fills=True,
            tip=self._findings,
        )
        self.table.setSelectionBehavior(TextTable.SelectionBehavior.SelectRows)
        self.table.clicked.connect(self._picked)
        self.table.activated.connect(self._picked)
        column.addWidget(self.table, 1)
        self.notes = PlainLabel()
        self.notes.setProperty("role", "small")
        self.notes.setWordWrap(True)
        column.addWidget(self.notes)

    def _waiting(self) -> QHBoxLayout:
        row = QHBoxLayout()
        self.progress = QProgressBar()
        self.progress.setMaximum(1000)
        self.progress.setTextVisible(False)
        self.progress.setFixedHeight(theme.UNIT)
        self.cancel = QPushButton(tr("Stop"))
        self.cancel.clicked.connect(self.cancelled)
        self.more = QPushButton(tr("Go on"))
        self.more.setToolTip(tr("Ride what was stopped"))
        self.more.clicked.connect(self.resumed)
        self.more.hide()
        for widget, stretch in ((self.progress, 1), (self.cancel, 0)):
            # The table stays where it is when a ranking is done.
            policy = widget.sizePolicy()
            policy.setRetainSizeWhenHidden(True)
            widget.setSizePolicy(policy)
            row.addWidget(widget, stretch)
        row.addWidget(self.more)
        return row

    def _filters(self) -> Flow:
        flow = Flow()
        self.boxes: dict[str, QCheckBox] = {}
        for key, label in (
            ("hand", tr("Fitted chain fits")),
            ("fits", tr("A chain fits")),
            ("stock", tr("Parts in stock")),
        ):
            box = QCheckBox(label)
            box.toggled.connect(self.filtered)
            self.boxes[key] = box
            flow.addWidget(box)
        self.errors = ErrorLabel()
        self.margin = NumberField(_margin_refusal, unit="%")
        fixed_width(self.margin, 56)
        self.margin.errors = self.errors
        self.margin.entered.connect(self.filtered)
        flow.addWidget(together(labelled(tr("Tow mar&gin, %"), self.margin), self.margin))
        self.margin.setToolTip(tr("How much faster than on its fastest straight a set could go before the limiter"))
        return flow

    @property
    def wanted(self) -> Wanted:
        """Which sets are to be shown."""
        given = self.margin.value
        margin = given / 100 if isinstance(given, (int, float)) else -1.0
        return Wanted(
            chain_at_hand=self.boxes["hand"].isChecked(),
            fitting=self.boxes["fits"].isChecked(),
            stock=self._view.stock if self.boxes["stock"].isChecked() else None,
            margin=margin,
        )

    def show_waiting(self, share: float | None, words: str, more: bool) -> None:
        """Show how far a ranking is, in words where there are some; None that none is under way.

        `more`: there is something that was stopped and could go on.
        """
        under_way = share is not None
        self.progress.setVisible(under_way)
        self.cancel.setVisible(under_way)
        self.more.setVisible(more)
        self.progress.setValue(round(1000 * (share or 0.0)))
        self.words.setText(words or self._words)

    def _tell(self, words: str) -> None:
        """Say what comes of the ranking, which stays once it is no longer under way."""
        self._words = words
        self.words.setText(words)

    def say(self, words: str) -> None:
        """Show words in place of a ranking."""
        self._tell(words)
        self._rows, self._texts, self._shown = (), [], None
        self.take_box.hide()
        self.table.show_texts(_heads(()), ())
        self.pins.show_rows((), None)
        self.notes.setText("")

    def show_pinned(
        self, ranking: LapRanking | None, tied: Plateau | None, lap: LapView | None, range_: LapRange | None
    ) -> None:
        """Keep the set to take, the proposed and the fitted one in sight."""
        if ranking is None:
            return
        rows = pinned(ranking, tied, None if lap is None else lap.row, range_)
        self.pins.show_rows(rows, tied_gaps(ranking, tied))

    def show_ranking(self, ranking: LapRanking, tied: Plateau | None, wanted: Wanted, chosen: DriveSet) -> None:
        """Show the ranking as far as it is wanted, with the ties among those sets."""
        self.boxes["stock"].setEnabled(self._view.stock is not None)
        if self._shown is None or self._shown[0] is not ranking or self._shown[1:] != (tied, wanted):
            self._shown = (ranking, tied, wanted)
            self._read(ranking, tied, wanted)
        self.show_proposed(chosen)

    def show_proposed(self, chosen: DriveSet) -> None:
        """Mark the proposed set in the ranking that is shown, if one is."""
        if self._shown is None:
            return
        # Only the word for the proposed set changes with it.
        cells = [
            (", ".join(filter(None, (texts[0], tr("proposed")))) if same_set(row.set, chosen) else texts[0], *texts[1:])
            for row, texts in zip(self._rows, self._texts, strict=True)
        ]
        self.table.show_texts(_heads(self._rows), cells)

    def _read(self, ranking: LapRanking, tied: Plateau | None, wanted: Wanted) -> None:
        self._rows = ranking.best(_MOST_ROWS, wanted)
        if not self._rows:
            self._texts = []
            self._tell(tr("No set meets what is ticked here."))
            self.notes.setText("")
            return
        if tied is not None and ranking.has_details(tied.chosen) and tied.chosen not in {r.index for r in self._rows}:
            self._rows = (*self._rows, ranking.row(tied.chosen))
        self._rows = grouped(self._rows, ranking, tied)
        self._tell("" if tied is None else tied.sentence)
        marks, chosen = tied_rows(ranking, tied), None if tied is None else tied.chosen
        self.take_box.hide()
        many_kinds = any(row.besides for row in self._rows)
        # The list must not move under the pointer that picks a row with gears of its own.
        policy = self.take_box.sizePolicy()
        policy.setRetainSizeWhenHidden(many_kinds)
        self.take_box.setSizePolicy(policy)
        on = ranking.fitted
        take = "take" if tied is None else tied.word

        def what(row: LapRow) -> str:
            fitted = tr("fitted") if on is not None and same_set(row.set, on.set) and not row.besides else ""
            return ", ".join(filter(None, (take if row.index == chosen else "", fitted))) or (
                tr("tied") if row.index in marks else ""
            )

        told = _heads(self._rows)
        self._texts = [
            tuple(
                words
                for head, words in zip(_HEADS, (what(row), *_texts(row), row.besides), strict=True)
                if head in told
            )
            for row in self._rows
        ]
        many = len(ranking.rows(wanted))
        otherwise = "" if tied is None else tied.otherwise
        shown = (
            tr("The quickest {rows} of {many} sets. ", rows=len(self._rows), many=many)
            if many > len(self._rows)
            else ""
        )
        self.notes.setText(f"{shown}{' '.join((*ranking.notes, otherwise))} {_NOTE}".strip())

    def _findings(self, place: int) -> str:
        """The findings on a row's set, the worst first."""
        assert self._shown is not None
        found = self._shown[0].findings(self._rows[place].index)
        told = [finding.text if finding.aside else f"{level_words(finding.level)}: {finding.text}" for finding in found]
        besides = self._rows[place].besides
        return "\n".join(([f"With {besides}"] if besides else []) + told)

    def _picked(self) -> None:
        row = self.table.currentIndex().row()
        if 0 <= row < len(self._rows):
            self.proposed.emit(self._rows[row].set)
            self._offer_box(row)

    def _offer_box(self, place: int) -> None:
        """A row's gears are proposed with it; they can be taken into the bike as well."""
        assert self._shown is not None
        box = self._shown[0].sets.gearbox_at(self._rows[place].index)
        self.take_box.setVisible(box is not None)
        if box is not None:
            self.take_box.setText(tr("Take into the bike: {besides}", besides=self._rows[place].besides))
            self.take_box.setProperty("place", place)

    def _box_taken(self) -> None:
        assert self._shown is not None
        self.boxed.emit(self._shown[0].sets.gearbox_at(self._rows[self.take_box.property("place")].index))


class WhereTab(QWidget):
    """Where the proposed set wins and loses, in words, and gear and engine speed in every section."""

    def __init__(self, view: View, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._view = view
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.table = TextTable(tr("Gear and engine speed in each section"), quiet=(0, 2, 3), left=(1,))
        note = PlainLabel(tr("Corners at the apex, straights at the greatest speed."))
        note.setProperty("role", "small")
        for widget in (self.words, self.table, note):
            column.addWidget(widget)
        column.addStretch(1)

    def show_view(self, view: LapView | None) -> None:
        """Show both sets."""
        unit = self._view.speed_unit
        heads = ("", tr("section"), tr("gear"), "rpm", tr("gear"), "rpm", unit)
        if view is None:
            self.words.setText("")
            self.table.show_texts(heads, ())
            return
        if view.on_row is None:
            self.words.setText(tr("The fitted set's sprockets are not entered, so there is nothing to compare with."))
        else:
            self.words.setText(
                "\n".join(gain_sentences(view.ranking, view.on_row, view.row, self._view.speed_factor, unit))
            )
        groups = ((2, 3, tr("fitted")), (4, 6, tr("proposed")))
        self.table.show_texts(heads, use_rows(view, self._view.speed_factor), groups)


def _heads(rows: Sequence[LapRow]) -> tuple[str, ...]:
    """The columns that say anything: none of the limiter where no set meets it, none of gears where all have one."""
    silent = set()
    if not any(round(row.limiter, 1) for row in rows):
        silent.add(_LIMITER)
    if not any(row.besides for row in rows):
        silent.add(_BESIDES)
    return tuple(head for head in _HEADS if head not in silent)


def _texts(row: LapRow) -> tuple[str, ...]:
    least = row.least_apex_engine
    return (
        *row_texts(row),
        decimal(f"{row.limiter:.1f}"),
        f"{least / RPM:.0f}" if least < math.inf else "–",
        chain_text(row),
    )


def _margin_refusal(value: float) -> str | None:
    return None if 0 <= value <= 50 else tr("expected a margin of 0 to 50 %")
