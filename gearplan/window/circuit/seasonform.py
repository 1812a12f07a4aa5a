"""One set for the whole season: several circuits ranked together, what each set loses on them and which one pays."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFileDialog, QListWidget, QPushButton, QVBoxLayout, QWidget

from gearplan.bike.circuit import Circuit, refusal
from gearplan.bike.files.circuitfile import CircuitFileError
from gearplan.bike.profile import Bike
from gearplan.language import tr
from gearplan.plan.choices.space import Space
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding
from gearplan.plan.laps.draws import Doubts
from gearplan.plan.laps.search import Cancelled
from gearplan.plan.laps.sets import Alternatives, GearboxError
from gearplan.plan.lines.opening import read_circuit_or_line
from gearplan.plan.lines.points import LineError
from gearplan.plan.season.series import Season, rank_season
from gearplan.plan.season.text import season_heads, season_reason, season_row
from gearplan.plan.words import teeth
from gearplan.window.kit import theme
from gearplan.window.kit.background import Background, Tell, Unwanted
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.places.layout import fixed_height
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable

_FILTER = tr(
    "Circuits and lines of tracks (*.circuit.toml *.csv *.geojson *.json *.gpx *.osm *.xml *.txt);;All files (*)"
)
_WANTED = tr(
    "One set for several circuits: the one that loses least against the quickest set of each, one lap of each. "
    "Add at least two circuits; each is ridden by its own rider, without wind."
)
_MOST_ROWS = 60

#: Bike, circuits as they are ridden today, sets, race gearbox and doubts; or why there is nothing to rank.
Asked = tuple[Bike, tuple[Circuit, ...], Space, Alternatives | None, Doubts]


class SeasonForm(QWidget):
    """`proposed` carries the set of a row or the one to take; `ask` gives what is to be ranked for some circuits."""

    proposed = Signal(object)

    def __init__(
        self,
        ask: Callable[[tuple[Circuit, ...]], Asked | str],
        at_hand: Callable[[], Circuit | None],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._ask, self._at_hand = ask, at_hand
        self._circuits: list[Circuit] = []
        self._asked: Asked | str | None = None
        self._shown: tuple[DriveSet, ...] = ()
        self._take: DriveSet | None = None
        self._work = Background(self)
        self._work.done.connect(self._ranked)
        self._work.failed.connect(self._refused)
        self._work.progressed.connect(self._on_the_way)
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        self.circuits = QListWidget()
        self.circuits.setAccessibleName(tr("Circuits of the season"))
        fixed_height(self.circuits, 96)
        column.addWidget(self.circuits)
        column.addLayout(self._buttons())
        self.problems = PlainLabel()
        self.problems.setProperty("role", "error")
        self.problems.setWordWrap(True)
        self.problems.hide()
        column.addWidget(self.problems)
        self.words = PlainLabel(_WANTED)
        self.words.setWordWrap(True)
        column.addWidget(self.words)
        self.button = QPushButton()
        self.button.clicked.connect(self._press)
        self.button.hide()
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignLeft)
        self.table = TextTable(tr("Seconds that each set loses on each circuit"), bold=(3,), left=(0, 1), fills=True)
        self.table.setSelectionBehavior(TextTable.SelectionBehavior.SelectRows)
        self.table.clicked.connect(self._picked)
        self.table.activated.connect(self._picked)
        column.addWidget(self.table, 1)

    def _buttons(self) -> Flow:
        row = Flow()
        self.buttons: dict[str, QPushButton] = {}
        for label, slot in (
            (tr("Add the circuit at hand"), self._add_at_hand),
            (tr("Add files…"), self._add_files),
            (tr("Take out"), self._take_out),
        ):
            button = QPushButton(label)
            button.clicked.connect(slot)
            self.buttons[label] = button
            row.addWidget(button)
        return row

    def refresh(self) -> None:
        """Rank anew where bike, ranges or circuits have changed."""
        circuit = self._at_hand()
        self.buttons[tr("Add the circuit at hand")].setEnabled(
            circuit is not None and refusal(circuit) is None and circuit not in self._circuits
        )
        self.buttons[tr("Take out")].setEnabled(bool(self._circuits))
        asked: Asked | str = _WANTED if len(self._circuits) < 2 else self._ask(tuple(self._circuits))
        if asked == self._asked:
            return
        self._asked = asked
        self._work.cancel()
        self._show(None)
        if isinstance(asked, str):
            self.words.setText(asked)
            return
        self.words.setText(tr("Ranking the sets on every circuit …"))
        bike, circuits, space, gears, doubts = asked

        def work(tell: Tell, unwanted: Unwanted) -> object:
            def progress(at: int, of: int) -> bool:
                tell(at / of)
                return not unwanted()

            return rank_season(bike, circuits, space, None, gears, doubts, progress)

        self._work.start(work)

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self._work.finish()

    @property
    def busy(self) -> bool:
        """Whether a ranking is under way."""
        return self._work.busy

    def add(self, paths: list[Path]) -> None:
        """Add the circuits of files; what cannot be read is said, the others are taken."""
        problems = []
        for path in paths:
            try:
                circuit = read_circuit_or_line(path).circuit
            except (CircuitFileError, LineError) as refused:
                problems.append(str(refused))
                continue
            if problem := refusal(circuit):
                problems.append(f"{path.name}: {problem}")
            elif circuit not in self._circuits:
                self._circuits.append(circuit)
        self._list()
        self.problems.setText("\n".join(problems))
        self.problems.setVisible(bool(problems))

    def _add_files(self) -> None:
        names, _ = QFileDialog.getOpenFileNames(self, tr("Add circuits"), "", _FILTER)
        self.add([Path(name) for name in names])

    def _add_at_hand(self) -> None:
        circuit = self._at_hand()
        if circuit is not None:
            self._circuits.append(circuit)
            self._list()

    def _take_out(self) -> None:
        at = self.circuits.currentRow()
        del self._circuits[at if at >= 0 else -1]
        self._list()

    def _list(self) -> None:
        self.circuits.clear()
        self.circuits.addItems(
            [f"{circuit.name or tr('Unnamed circuit')}, {circuit.length_m:.0f} m" for circuit in self._circuits]
        )
        self.refresh()

    def _on_the_way(self, share: float, _words: str) -> None:
        self.words.setText(tr("Ranking the sets on every circuit … {share:.0f} %", share=100 * share))

    def _ranked(self, found: object) -> None:
        if isinstance(found, Finding):
            self.words.setText(found.text)
            return
        assert isinstance(found, Season)
        self._show(found)

    def _refused(self, failed: object) -> None:
        if isinstance(failed, GearboxError):
            self.words.setText(tr("The race gearbox: {failed}.", failed=failed))
        elif isinstance(failed, Exception) and not isinstance(failed, Cancelled):
            raise failed

    def _show(self, season: Season | None) -> None:
        self.button.setVisible(season is not None)
        if season is None:
            self._shown, self._take = (), None
            self.table.show_texts(season_heads(()), ())
            return
        sets = season.rankings[0].sets
        rows = season.listed(_MOST_ROWS)
        self._shown = tuple(sets.set_at(row) for row in rows)
        self._take = sets.set_at(season.fitted if season.leave and season.fitted is not None else season.chosen)
        self.button.setText(tr("Propose {teeth}", teeth=teeth(self._take)))
        self.words.setText(" ".join(filter(None, (season_reason(season), season.note))))
        pairs = any(sets.besides(row) for row in rows)
        heads = season_heads([ranking.circuit.name for ranking in season.rankings], pairs=pairs)
        self.table.show_texts(heads, [season_row(season, row, pairs=pairs) for row in rows])

    def _press(self) -> None:
        if self._take is not None:
            self.proposed.emit(self._take)

    def _picked(self) -> None:
        at = self.table.currentIndex().row()
        if 0 <= at < len(self._shown):
            self.proposed.emit(self._shown[at])
