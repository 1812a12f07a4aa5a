"""The shop's day: proposals kept with the bike and taken up again, the job that comes of one, the shop's own words."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gearplan.bike.text.units import KMH
from gearplan.language import tr
from gearplan.plan.quote.proposals import at_start, set_of, with_proposal
from gearplan.plan.words import teeth

if TYPE_CHECKING:
    from gearplan.window.frame.pagehost import PageHost


class Counter(QObject):
    """Edits the document of a window, and what its pages show of the shop."""

    def __init__(self, window: PageHost) -> None:
        super().__init__(window)
        self._window = window

    def take_up(self) -> None:
        """What the customer of this bike named and wished when it was proposed."""
        kept = at_start(self._window.document.bike)
        cruise = None if kept is None or kept.cruise_kmh is None else kept.cruise_kmh * KMH
        self._window.view.take_up(cruise, () if kept is None else kept.wishes)

    def keep_proposal(self) -> None:
        """Keep the proposed set with the bike, and what the customer named and wished."""
        document, view = self._window.document, self._window.view
        kmh = None if view.cruise is None else view.cruise / KMH
        kept = with_proposal(document.bike, document.chosen, date.today(), wishes=view.wishes, cruise_kmh=kmh)
        document.edit(tr("Pin {teeth}", teeth=teeth(document.chosen)), kept)

    def begin_job(self, place: int) -> None:
        """What was offered is agreed to: its job begins, with the parts as they are quoted."""
        from gearplan.plan.job.job import NotYet
        from gearplan.plan.quote.fitting import agreed
        from gearplan.plan.quote.quote import TooMuch, made, quote

        window, document, today = self._window, self._window.document, date.today()
        try:
            alone = quote(document.bike, (place,), window.papers.terms(), today, window.view.stock)
            begun = agreed(made(document.bike, alone, alone.number or None), place, today)
        except (NotYet, TooMuch) as hindered:
            window.message.say(str(hindered), wrong=True)
            return
        chosen = set_of(document.bike.proposals[place])
        document.propose(chosen, tr("Propose {teeth}", teeth=teeth(chosen)))
        document.edit(tr("Begin the job {teeth}", teeth=teeth(chosen)), begun)
        window.show_page("Fitting")

    def ask_shop(self) -> None:
        """Ask what the shop says of itself on every page that is printed."""
        from gearplan.window.frame.shopdialog import ShopDialog

        window = self._window
        dialog = ShopDialog(window.remembered.look(), window)
        if dialog.exec() == ShopDialog.DialogCode.Accepted:
            window.remembered.keep(dialog.changed)
            window.view.set_speed_unit(window.remembered.now.speed_unit)
            self.show_shop()
        dialog.deleteLater()

    def show_shop(self) -> None:
        """What shows something of the shop follows."""
        self._window.view.set_currency(self._window.papers.terms().currency)
        window, now = self._window, self._window.remembered.now
        for page in window.made("Quote"):
            page.terms = window.papers.terms()
            page.refresh()
        for page in window.made("Bike"):
            page.show_owner_on_paper(now.owner_on_paper)
        for page in window.made("Fitting"):
            page.show_paper(now.paper)
