"""Another chain size beside the fitted one: mass, strength, and what to watch; a press proposes it."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import QComboBox, QPushButton, QVBoxLayout, QWidget

from gearplan.bike import library
from gearplan.bike.profile import entries
from gearplan.bike.text.written import difference, number
from gearplan.language import tr
from gearplan.plan.chain.reach import LENGTH
from gearplan.plan.driveset import does_by_count, fitted, keeps_chain
from gearplan.plan.findings import worst
from gearplan.plan.set import conversion
from gearplan.plan.set.doubts import judged
from gearplan.plan.set.evaluate import SetResult, evaluate
from gearplan.plan.set.verdict import verdict
from gearplan.plan.words import teeth
from gearplan.window.document.document import Document
from gearplan.window.document.entryform import EntryForm
from gearplan.window.kit import theme
from gearplan.window.kit.controls.fields import labelled
from gearplan.window.kit.controls.tickbox import TickBox
from gearplan.window.kit.places.flow import Flow
from gearplan.window.kit.plaintext import PlainLabel
from gearplan.window.kit.tables.texttable import TextTable

#: The findings that tell whether a set has room on the swingarm.
_ROOM = (LENGTH, "adjuster", "tightest point", "upper run", "lower run")


def _on_swingarm(after: SetResult) -> str:
    """Whether the set has room on the swingarm, which nothing else that is found of it says."""
    length = next((found for found in after.findings if found.about == LENGTH), None)
    if length is None or (length.level == "check" and length.value is None):
        return tr("Whether it fits this swingarm is not known yet:")
    room = worst(found for found in after.findings if found.about in _ROOM)
    if room == "does not fit":
        return tr("Does not fit this swingarm:")
    if room == "check" or after.verdict == "check":
        return tr("Fits this swingarm, but check:")
    return tr("Fits this swingarm.") if after.verdict == "fits" else tr("Fits this swingarm, but:")


class ConversionPanel(QWidget):
    """Part of the Chain page; proposes, and changes nothing else."""

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        column = QVBoxLayout(self)
        column.setContentsMargins(*[theme.UNIT] * 4)
        column.setSpacing(theme.UNIT)
        head = Flow()
        self.sizes = QComboBox()
        self.sizes.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.sizes.addItems(list(library.chain_sizes()))
        self.sizes.setCurrentText("520")
        self.sizes.activated.connect(self.refresh)
        self.propose = QPushButton(tr("Propose it"))
        self.propose.clicked.connect(self._propose)
        what = labelled(tr("The &proposed sprockets on a chain of size"), self.sizes)
        what.setWordWrap(True)
        column.addWidget(what)
        head.addWidget(self.sizes)
        head.addWidget(self.propose)
        column.addLayout(head)
        own = PlainLabel(
            tr(
                "The maker's figures for the new chain, whatever its size; once it is fitted they are the "
                "fitted chain's. "
                "A set with the fitted chain's size and links keeps that chain, unless a new one is ticked."
            )
        )
        own.setProperty("role", "small")
        own.setWordWrap(True)
        column.addWidget(own)
        self.renew = TickBox(tr("New chain, even where the fitted one would do"))
        self.renew.toggled.connect(self._renew)
        column.addWidget(self.renew)
        self.form = EntryForm(document, tuple(("new_chain", key) for key, _ in entries("new_chain")))
        column.addWidget(self.form)
        self.table = TextTable(tr("Fitted and converted set"), quiet=(1,), bold=(3,), left=(0,))
        column.addWidget(self.table)
        self.words = PlainLabel()
        self.words.setWordWrap(True)
        column.addWidget(self.words)
        self.assumed = PlainLabel(conversion.ASSUMED)
        self.assumed.setProperty("role", "small")
        self.assumed.setWordWrap(True)
        column.addWidget(self.assumed)
        column.addStretch(1)

    def refresh(self) -> None:
        """Show the document as it is now."""
        bike, size = self._document.bike, self.sizes.currentText()
        self.form.refresh()
        chosen = self._document.chosen
        with QSignalBlocker(self.renew):
            self.renew.setChecked(not keeps_chain(bike, chosen))
        # Another size or count is a new chain anyhow.
        self.renew.setEnabled(does_by_count(bike, chosen))
        before = evaluate(bike, fitted(bike))
        other = conversion.in_size(bike, self._document.chosen, size)
        after = evaluate(bike, other)
        masses = conversion.drive_mass(before), conversion.drive_mass(after)
        rows = [(tr("Sprockets"), teeth(before.set), teeth(after.set), "")]
        rows.append((tr("Links"), str(before.set.links or "–"), str(after.set.links or "–"), ""))
        for label, unit, digits, pair in (
            (tr("Chain, kg"), 1.0, 1, (masses[0].chain, masses[1].chain)),
            (tr("Front sprocket, kg, assumed"), 1.0, 1, (masses[0].front, masses[1].front)),
            (tr("Rear sprocket, kg, assumed"), 1.0, 1, (masses[0].rear, masses[1].rear)),
            (tr("Together, kg"), 1.0, 1, (masses[0].total, masses[1].total)),
            (tr("Equivalent mass, kg"), 1.0, 1, (masses[0].equivalent, masses[1].equivalent)),
            (tr("Tensile strength, kN"), 1e3, 1, (before.strength.tensile, after.strength.tensile)),
            (tr("Strength over peak tension"), 1.0, 1, (before.strength.safety, after.strength.safety)),
        ):
            rows.append(
                (label, number(pair[0], unit, digits), number(pair[1], unit, digits), difference(*pair, unit, digits))
            )
        self.table.show_texts(("", tr("fitted"), tr("on {size}", size=size), tr("change")), rows)
        said = verdict(judged(bike, after))
        told = [_on_swingarm(after), *said.told, *said.passed]
        told += conversion.cautions(bike, before, after)
        self.words.setText("\n".join(told))
        self.propose.setEnabled(other != self._document.chosen)

    def _renew(self, on: bool) -> None:
        label = tr("New chain") if on else tr("Keep the fitted chain")
        self._document.propose(replace(self._document.chosen, new_chain=on), label)

    def _propose(self) -> None:
        size = self.sizes.currentText()
        other = conversion.in_size(self._document.bike, self._document.chosen, size)
        self._document.propose(other, tr("Propose a {size} chain", size=size))
