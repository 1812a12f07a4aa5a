"""In which range the proposed set's lap lies, ridden beside the window once nothing changes any more."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QWidget

from gearplan.language import tr
from gearplan.plan.laps.draws import Doubts
from gearplan.plan.laps.ranges import LapRange, range_sentence, ridden_range
from gearplan.plan.laps.view import LapView
from gearplan.window.kit.background import Background, Tell, Unwanted
from gearplan.window.kit.plaintext import PlainLabel

_IDLE_MS = 250


class RangeLabel(PlainLabel):
    """Words about the range, empty until it is known; `told` that `found` is new."""

    told = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("role", "small")
        self.setWordWrap(True)
        self.setAccessibleName(tr("Lap with what is in doubt"))
        self._asked: tuple[LapView, Doubts] | None = None
        self.found: LapRange | None = None
        self._work = Background(self)
        self._work.done.connect(self._take)
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.setInterval(_IDLE_MS)
        self._idle.timeout.connect(self._start)

    @property
    def busy(self) -> bool:
        """Whether a range is wanted and not there yet."""
        return self._idle.isActive() or self._work.busy

    def ask(self, view: LapView | None, doubts: Doubts) -> None:
        """Tell the range of a view's proposed set; of the same one it stays told."""
        asked = None if view is None else (view, doubts)
        if self._asked is not None and asked is not None and asked[0] is self._asked[0] and doubts == self._asked[1]:
            return
        self._asked = asked
        self._work.cancel()
        self._idle.stop()
        self.setText("")
        self.found = None
        if asked is not None:
            self._idle.start()

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self._idle.stop()
        self._work.finish()

    def _start(self) -> None:
        if self._asked is None:
            return
        view, doubts = self._asked

        def work(_tell: Tell, _unwanted: Unwanted) -> object:
            return ridden_range(view.ranking, view.row.index, doubts)

        self._work.start(work)

    def _take(self, found: object) -> None:
        assert found is None or isinstance(found, LapRange)
        view = None if self._asked is None else self._asked[0]
        itself = view is not None and view.on is view.proposed
        self.found = found
        self.setText(range_sentence(found, itself=itself))
        self.told.emit()
