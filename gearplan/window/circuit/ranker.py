"""Ranks a circuit's sets beside the window, and computes the neighbouring sets in advance."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

from PySide6.QtCore import QObject, QTimer, Signal

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.drive.lap.rules import LapRules
from gearplan.language import tr
from gearplan.plan.choices.space import Space
from gearplan.plan.driveset import DriveSet
from gearplan.plan.findings import Finding
from gearplan.plan.laps.draws import NO_DOUBTS, Doubts
from gearplan.plan.laps.ranking import LapRanking, Wanted, rank_laps
from gearplan.plan.laps.search import Cancelled, SoFar, so_far_text
from gearplan.plan.laps.sets import Alternatives, GearboxError
from gearplan.plan.laps.spread import Plateau, doubted_text, plateau
from gearplan.plan.laps.view import lap_view
from gearplan.window.kit.background import Background, Tell, Unwanted

#: What a ranking depends on.
Question = tuple[Bike, Circuit, Space, LapRules, Alternatives | None]

_PATIENCE_MS = 150
#: What takes longer than so many seconds is said in words.
_LONG = 0.5
_NONE_YET = tr("Stopped before a set was ranked.")
#: So long after the last change the neighbours of the proposed set are ridden, so that the next step finds its lap.
_IDLE_MS = 250


class Ranker(QObject):
    """Keeps the ranking of the last question, and what is tied in it; a stale one is never shown.

    `ranked` tells that `ranking` or `tied` is new, `said` why there is no ranking, `waiting` how far it is (None:
    done) with words where it takes long. The ranking comes first; `tied` is None until its sets have been ridden again
    with what is in doubt, and stays None where that was stopped. It was found among the sets that `among` wants.
    """

    ranked = Signal()
    said = Signal(str)
    waiting = Signal(object, str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.ranking: LapRanking | None = None
        self.tied: Plateau | None = None
        self.among = Wanted()
        self._wanted, self._doubts = Wanted(), NO_DOUBTS
        self._question: Question | str | None = None
        #: Set where what is ridden so far is wanted and no more.
        self._enough = threading.Event()
        self._work, self._ties, self._ahead = Background(self), Background(self), Background(self)
        self._work.done.connect(self._take)
        self._work.failed.connect(self._refuse)
        self._ties.done.connect(self._take_ties)
        self._ties.failed.connect(self._refuse)
        for work in (self._work, self._ties):
            work.progressed.connect(self._on_the_way)
        self._pause, self._idle = QTimer(self), QTimer(self)
        for timer, milliseconds, slot in (
            (self._pause, _PATIENCE_MS, self._start),
            (self._idle, _IDLE_MS, self._ride_ahead),
        ):
            timer.setSingleShot(True)
            timer.setInterval(milliseconds)
            timer.timeout.connect(slot)
        self._next: tuple[Bike, list[DriveSet], Circuit, LapRules] | None = None

    @property
    def busy(self) -> bool:
        """Whether a ranking or its ties are wanted and not there yet."""
        return self._work.busy or self._ties.busy or self._pause.isActive()

    @property
    def more(self) -> bool:
        """Whether something was stopped that `go_on` would do."""
        stopped = self._enough.is_set() or (self.ranking is not None and not self.ranking.whole)
        return stopped and isinstance(self._question, tuple) and not self.busy

    def ask(self, question: Question | str, wanted: Wanted, doubts: Doubts) -> None:
        """Rank what a question asks, or say why it cannot be (a text); of the same one only the ties are found anew."""
        if question == self._question:
            if (wanted, doubts) != (self._wanted, self._doubts):
                # Another stock list, say.
                self.filter(wanted, doubts)
            return
        self._wanted, self._doubts = wanted, doubts
        self._question = question
        self.ranking = self.tied = None
        self._enough.clear()
        self._work.cancel()
        self._ties.cancel()
        if isinstance(question, str):
            self._pause.stop()
            self.waiting.emit(None, "")
            self.said.emit(question)
            return
        self._pause.start()

    def filter(self, wanted: Wanted, doubts: Doubts) -> None:
        """Find the ties anew among other sets of the same ranking, or with other doubts."""
        self._wanted, self._doubts = wanted, doubts
        ranking = self.ranking
        if ranking is None:
            return
        self.tied, self.among = None, wanted
        self._enough.clear()
        self.waiting.emit(0.0, "")
        since = time.monotonic()

        def work(tell: Tell, unwanted: Unwanted) -> object:
            def progress(at: int, of: int) -> bool:
                took = time.monotonic() - since
                tell(at / of, doubted_text(at / of, took) if took > _LONG else "")
                return not unwanted()

            return plateau(ranking, doubts, wanted, progress)

        self._ties.start(work)
        self.ranked.emit()

    def stop(self) -> None:
        """Be content with what is ranked so far."""
        self._enough.set()
        if self._work.busy:
            # It comes as soon as what is being ridden is done.
            return
        self._pause.stop()
        self._ties.cancel()
        self.waiting.emit(None, "")
        if self.ranking is None:
            self.said.emit(_NONE_YET)
        else:
            self.ranked.emit()

    def go_on(self) -> None:
        """Do what was stopped."""
        self._enough.clear()
        if self.ranking is None or not self.ranking.whole:
            self._start()
        else:
            self.filter(self._wanted, self._doubts)

    def ahead(
        self, bike: Bike, chosen: DriveSet, near: dict[str, tuple[int, int]], circuit: Circuit, rules: LapRules
    ) -> None:
        """Compute, when idle, the sets within `near` (the ends of a slider, by part), the nearest first."""
        sets = [
            replace(chosen, **{part: teeth})  # type: ignore[arg-type]
            for part, ends in near.items()
            for teeth in _outwards(getattr(chosen, part), ends)
        ]
        self._next = (bike, sets, circuit, rules)
        self._ahead.cancel()
        self._idle.start()

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self._pause.stop()
        self._idle.stop()
        for work in (self._work, self._ties, self._ahead):
            work.finish()

    def _start(self) -> None:
        question = self._question
        if not isinstance(question, tuple):
            return
        bike, circuit, space, rules, options = question
        self.waiting.emit(0.0, "")
        enough, since = self._enough, time.monotonic()

        def work(tell: Tell, unwanted: Unwanted) -> object:
            def watch(now: SoFar) -> bool:
                if unwanted():
                    raise Cancelled
                took = time.monotonic() - since
                tell(now.done / now.of, so_far_text(now, took) if took > _LONG else "")
                return not enough.is_set()

            return rank_laps(bike, circuit, space, rules, options, sofar=watch)

        self._work.start(work)

    def _on_the_way(self, share: float, words: str) -> None:
        self.waiting.emit(share, words)

    def _take(self, ranking: object) -> None:
        if isinstance(ranking, Finding):
            self.waiting.emit(None, "")
            self.said.emit(ranking.text)
            return
        assert isinstance(ranking, LapRanking)
        self.ranking = ranking
        if self._enough.is_set():
            self.tied, self.among = None, self._wanted
            self.waiting.emit(None, "")
            self.ranked.emit()
            return
        self.filter(self._wanted, self._doubts)

    def _take_ties(self, tied: object) -> None:
        assert tied is None or isinstance(tied, Plateau)
        self.waiting.emit(None, "")
        self.tied = tied
        self.ranked.emit()

    def _refuse(self, failed: object) -> None:
        self.waiting.emit(None, "")
        if isinstance(failed, GearboxError):
            self.said.emit(tr("The race gearbox: {failed}.", failed=failed))
        elif isinstance(failed, Cancelled):
            if self._enough.is_set():
                self.said.emit(_NONE_YET)
        elif isinstance(failed, Exception):
            raise failed

    def _ride_ahead(self) -> None:
        if self._next is None:
            return
        if self.busy:
            # The ranking comes first.
            self._idle.start()
            return
        bike, sets, circuit, rules = self._next

        def work(_tell: Tell, unwanted: Unwanted) -> object:
            for one in sets:
                if unwanted():
                    break
                lap_view(bike, one, circuit, rules)
            return None

        self._ahead.start(work)


def _outwards(middle: int | None, ends: tuple[int, int]) -> list[int]:
    """The counts of a range but the middle, the nearest first."""
    if middle is None:
        return []
    others = (teeth for teeth in range(ends[0], ends[1] + 1) if teeth != middle)
    return sorted(others, key=lambda teeth: abs(teeth - middle))
