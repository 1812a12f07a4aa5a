"""What a ride tells of the bike: its gears as a table, the teeth that were counted, and every statement."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.text.written import signed
from gearplan.language import decimal, tr
from gearplan.ridelog.telling.evidence import EVIDENT, evidence
from gearplan.ridelog.telling.learned import Learned
from gearplan.ridelog.telling.offers import offers
from gearplan.ridelog.telling.remark import Remark
from gearplan.ridelog.telling.words import finding, remarks
from gearplan.window.kit import theme
from gearplan.window.kit.tables.texttable import TextTable
from gearplan.window.ridelog.charts import RATIOS
from gearplan.window.ridelog.countedset import CountedSet
from gearplan.window.ridelog.finding import Finding
from gearplan.window.ridelog.inferences import Inferences


class Tells(QWidget):
    """The page places `finding`, and connects what `inferences` and `count` ask for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT)
        self.gears = TextTable(tr("Gears ridden"), left=(0,))
        self.count = CountedSet()
        self.inferences = Inferences()
        self.finding = Finding()
        self._first = ""
        column.addWidget(self.gears)
        column.addWidget(self.count)
        column.addWidget(self.inferences, 1)

    @property
    def texts(self) -> list[str]:
        """Every statement, the finding first."""
        return [self.finding.text, *self.inferences.texts]

    @property
    def first(self) -> str:
        """What the finding is about."""
        return self._first

    def show_drawn(self, about: str) -> None:
        """Say whose evidence is drawn; what has none of its own is told by the ratios."""
        self.inferences.show_drawn(about)
        own = self._first if self._first in EVIDENT else RATIOS
        self.finding.show_evident(elsewhere=own != about)

    def show_told(self, learned: Learned, about: Bike, bike: Bike, unit: str) -> None:
        """Show what was told about a profile, and what it offers to the one at hand; speeds in a unit."""
        noted = (Remark("fits", "file", note) for note in learned.log.notes)
        told = (*remarks(learned, about, unit), *noted)
        first, offered = finding(told), offers(learned, bike)
        self._first = first.about
        self.finding.show_finding(first, offered)
        rest = tuple(one for one in told if one is not first)
        self.inferences.show_remarks(rest, offered, _evident(learned))
        gears = learned.gears
        self.gears.setVisible(gears is not None)
        self.count.setVisible(gears is not None)
        if gears is not None:
            self.gears.show_texts(
                (tr("gear"), tr("overall"), "± %", tr("off, %"), tr("scatter, %"), tr("time, %")),
                [
                    (
                        str(gear.number or "?"),
                        "–" if gear.overall is None else decimal(f"{gear.overall:.3f}"),
                        decimal(f"{100 * (gear.cluster.high / gear.cluster.ratio - 1):.2f}"),
                        "" if gear.off is None else signed(100 * gear.off, 1, 2),
                        decimal(f"{100 * gear.cluster.spread:.2f}"),
                        f"{100 * gear.share:.0f}",
                    )
                    for gear in gears.gears
                ],
            )


def _evident(learned: Learned) -> frozenset[str]:
    """The statements whose evidence can be drawn."""
    own = {about for about in EVIDENT if evidence(learned, about) is not None}
    return frozenset(own | ({RATIOS} if learned.gears is not None else set()))
