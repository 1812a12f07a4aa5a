"""Both sets and the verdict in one row, on pages where no other set is tried."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QSizePolicy, QWidget

from gearplan.language import tr
from gearplan.plan import words
from gearplan.plan.set import words as setwords
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.set.verdict import Verdict
from gearplan.window.kit import theme
from gearplan.window.kit.plaintext import PlainLabel, plain
from gearplan.window.kit.shapes import LineSample, VerdictShape

#: What stands above and below its button, which makes it 56 px high at the usual size of text.
_ABOVE = 11
#: So many cautions are told in words, in a low window and else.
_MOST_IN_LOW, _MOST = 1, 3


class SlimBar(QFrame):
    """The row; `wanted` asks for all of the verdict. `silent` leaves the cautions to what stands below it."""

    wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.silent = False
        #: So many of the cautions have room; how many more there are is said.
        self.most = _MOST
        row = QHBoxLayout(self)
        row.setContentsMargins(2 * theme.UNIT, _ABOVE, 2 * theme.UNIT, _ABOVE)
        row.setSpacing(theme.UNIT)
        self.fitted, self.proposed = PlainLabel(), PlainLabel()
        self._samples = LineSample(dashed=True), LineSample(dashed=False)
        self.rest = PlainLabel()
        self.rest.setProperty("role", "quiet")
        self.shape = VerdictShape(22)
        self.word = QPushButton()
        self.word.clicked.connect(self.wanted)
        for sample, label in zip(self._samples, (self.fitted, self.proposed), strict=True):
            label.setProperty("role", "title")
            row.addWidget(sample)
            row.addWidget(label)
        row.addWidget(self.rest)
        #: The cautions in words, each on a line; the row grows for them.
        self.told = PlainLabel()
        self.told.setWordWrap(True)
        self.told.setProperty("role", "note")
        self.told.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.told.installEventFilter(self)
        row.addSpacing(theme.UNIT)
        row.addWidget(self.told, 1)
        row.addWidget(self.shape)
        row.addWidget(self.word)

    def show_sets(self, on: SetResult, proposed: SetResult, said: Verdict) -> None:
        """Show both sets, or the one where they are the same."""
        same = on.set == proposed.set
        self.fitted.setText(tr("{teeth} fitted", teeth=words.teeth(on.set)) if same else words.teeth(on.set))
        self.proposed.setText(words.teeth(proposed.set))
        for widget in (self.proposed, self._samples[1]):
            widget.setVisible(not same)
        told = () if same else (setwords.feel(setwords.change(on, proposed)),)
        self.rest.setText(", ".join(filter(None, (words.chain_name(proposed.set), *told))))
        self.shape.show_level(said.level)
        self.word.setText(said.head)
        self.told.setText("" if self.silent else "\n".join(self._most_told(said.told)))
        self.word.setToolTip(plain("\n".join((*said.told, said.passed_head, tr("Press to see all of it.")))))
        self.word.setAccessibleDescription(" ".join(said.told))
        self.setAccessibleName(
            tr("Proposed set {set_name}: {head}", set_name=words.set_name(proposed.set), head=said.head)
        )
        self._give_height()

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:
        """Another width breaks the lines anew."""
        if event.type() == QEvent.Type.Resize:
            self._give_height()
        return False

    def _give_height(self) -> None:
        # A row lays its texts out for a width that it does not give them in the end.
        self.told.setMinimumHeight(max(self.told.heightForWidth(self.told.width()), 0))

    def fit(self, *, roomy: bool) -> None:
        """Tell fewer of many cautions where the window is low."""
        self.most = _MOST if roomy else _MOST_IN_LOW

    def _most_told(self, told: tuple[str, ...]) -> tuple[str, ...]:
        more = len(told) - self.most
        return told if more <= 0 else (*told[: self.most], tr("And {more} more: press at the right.", more=more))
