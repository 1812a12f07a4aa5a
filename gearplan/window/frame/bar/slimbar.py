"""Both sets and the verdict in one row, on pages where no other set is tried."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QWidget

from gearplan.plan import words
from gearplan.plan.set import words as setwords
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.set.verdict import Verdict
from gearplan.window.kit import theme
from gearplan.window.kit.layout import fixed_height
from gearplan.window.kit.shapes import LineSample, VerdictShape

#: Its height at the usual size of text.
HEIGHT = 56


class SlimBar(QFrame):
    """The row; `wanted` asks for the page where the verdict is told in full."""

    wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("card", True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        fixed_height(self, HEIGHT)
        row = QHBoxLayout(self)
        row.setContentsMargins(2 * theme.UNIT, theme.UNIT, 2 * theme.UNIT, theme.UNIT)
        row.setSpacing(theme.UNIT)
        self.fitted, self.proposed = QLabel(), QLabel()
        self._samples = LineSample(dashed=True), LineSample(dashed=False)
        self.rest = QLabel()
        self.rest.setProperty("role", "quiet")
        self.shape = VerdictShape(22)
        self.word = QPushButton()
        self.word.clicked.connect(self.wanted)
        for sample, label in zip(self._samples, (self.fitted, self.proposed), strict=True):
            label.setProperty("role", "title")
            row.addWidget(sample)
            row.addWidget(label)
        row.addWidget(self.rest)
        row.addStretch(1)
        row.addWidget(self.shape)
        row.addWidget(self.word)

    def show_sets(self, on: SetResult, proposed: SetResult, said: Verdict) -> None:
        """Show both sets, or the one where they are the same."""
        same = on.set == proposed.set
        self.fitted.setText(f"{words.teeth(on.set)} fitted" if same else words.teeth(on.set))
        self.proposed.setText(words.teeth(proposed.set))
        for widget in (self.proposed, self._samples[1]):
            widget.setVisible(not same)
        told = () if same else (setwords.feel(setwords.change(on, proposed)),)
        self.rest.setText(", ".join(filter(None, (words.chain_name(proposed.set), *told))))
        self.shape.show_level(said.level)
        self.word.setText(said.head)
        self.word.setToolTip("\n".join((*said.told, said.passed_head, "Press to go to the Speed page.")))
        self.word.setAccessibleDescription(" ".join(said.told))
        self.setAccessibleName(f"Proposed set {words.set_name(proposed.set)}: {said.head}")
