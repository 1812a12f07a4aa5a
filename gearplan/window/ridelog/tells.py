"""What a ride tells of the bike: its gears as a table, the teeth that were counted, and every statement."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from gearplan.bike.profile import Bike
from gearplan.bike.written import signed
from gearplan.ridelog.telling.evidence import EVIDENT, evidence
from gearplan.ridelog.telling.learned import Learned
from gearplan.ridelog.telling.offers import offers
from gearplan.ridelog.telling.remark import Remark
from gearplan.ridelog.telling.words import remarks
from gearplan.window.kit import theme
from gearplan.window.kit.texttable import TextTable
from gearplan.window.ridelog.charts import RATIOS
from gearplan.window.ridelog.countedset import CountedSet
from gearplan.window.ridelog.inferences import Inferences


class Tells(QWidget):
    """The page connects what `inferences` and `count` ask for."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.UNIT)
        self.gears = TextTable("Gears ridden", left=(0,))
        self.count = CountedSet()
        self.inferences = Inferences()
        column.addWidget(self.gears)
        column.addWidget(self.count)
        column.addWidget(self.inferences, 1)

    def show_told(self, learned: Learned, about: Bike, bike: Bike, unit: str) -> None:
        """Show what was told about a profile, and what it offers to the one at hand; speeds in a unit."""
        noted = (Remark("fits", "file", note) for note in learned.log.notes)
        told = (*remarks(learned, about, unit), *noted)
        self.inferences.show_remarks(told, offers(learned, bike), _evident(learned))
        gears = learned.gears
        self.gears.setVisible(gears is not None)
        self.count.setVisible(gears is not None)
        if gears is not None:
            self.gears.show_texts(
                ("gear", "overall", "± %", "off, %", "scatter, %", "time, %"),
                [
                    (
                        str(gear.number or "?"),
                        "–" if gear.overall is None else f"{gear.overall:.3f}",
                        f"{100 * (gear.cluster.high / gear.cluster.ratio - 1):.2f}",
                        "" if gear.off is None else signed(100 * gear.off, 1, 2),
                        f"{100 * gear.cluster.spread:.2f}",
                        f"{100 * gear.share:.0f}",
                    )
                    for gear in gears.gears
                ],
            )


def _evident(learned: Learned) -> frozenset[str]:
    """The statements whose evidence can be drawn."""
    own = {about for about in EVIDENT if evidence(learned, about) is not None}
    return frozenset(own | ({RATIOS} if learned.gears is not None else set()))
