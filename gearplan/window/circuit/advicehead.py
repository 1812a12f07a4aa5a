"""What to do at this circuit, over everything else: the set to take in the fewest words, why, and one button for it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from gearplan.language import tr
from gearplan.plan.driveset import DriveSet
from gearplan.plan.laps.ranking import LapRanking
from gearplan.plan.laps.spread import LONGEST_BECAUSE, Plateau, advised, because, headline
from gearplan.plan.laps.text import same_set
from gearplan.plan.words import teeth
from gearplan.window.kit import theme
from gearplan.window.kit.places.fixedsize import FixedSize
from gearplan.window.kit.plaintext import PlainLabel

_RANKING = tr("Ranking the sets …")
#: Stands there until what is in doubt has been ridden too, or where that was stopped.
_UNTOLD = tr(
    "Ranked as entered. Which sets are tied, and which one to take, is told once what is in doubt is ridden too."
)


class AdviceHead(QWidget):
    """`proposed` carries the set that is advised."""

    proposed = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._set: DriveSet | None = None
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT // 2)
        row = QHBoxLayout()
        self.words = PlainLabel()
        self.words.setProperty("role", "large")
        self.words.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.button = QPushButton()
        self.button.setProperty("primary", True)
        self.button.clicked.connect(self._press)
        policy = self.button.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        self.button.setSizePolicy(policy)
        row.addWidget(self.words)
        row.addStretch(1)
        row.addWidget(self.button)
        column.addLayout(row)
        self.why = PlainLabel()
        self.why.setWordWrap(True)
        column.addWidget(FixedSize(self.why, theme.BODY, lines=2, longest=LONGEST_BECAUSE))

    def show_advice(self, ranking: LapRanking | None, tied: Plateau | None, chosen: DriveSet) -> None:
        """Say what a ranking advises, or that it is being looked for; `chosen` is what is proposed already."""
        self._set = None
        if ranking is None or tied is None:
            self.words.setText("" if ranking is not None else _RANKING)
            self.why.setText("" if ranking is None else _UNTOLD)
        else:
            self._set = ranking.sets.set_at(advised(ranking, tied))
            self.words.setText(headline(ranking, tied))
            self.why.setText(because(ranking, tied))
            self.button.setText(tr("Propose {teeth}", teeth=teeth(self._set)))
        self.button.setVisible(self._set is not None and not same_set(self._set, chosen))

    def _press(self) -> None:
        if self._set is not None:
            self.proposed.emit(self._set)
