"""Every candidate's lap time, for the wish to be the quickest: computed beside the window, kept till asked anew."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from gearplan.bike.circuit import Circuit
from gearplan.bike.profile import Bike
from gearplan.plan.choices.candidates import candidates
from gearplan.plan.choices.space import Space
from gearplan.plan.laps.ranking import lap_times_of
from gearplan.window.kit.background import Background, Tell, Unwanted

Times = NDArray[np.float64] | None


class LapTimes(QObject):
    """Gives the times that are known and computes those that are not; `ready` tells that they are known now."""

    ready = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._asked: object = None
        self._known: tuple[object, Times] = (None, None)
        self._work = Background(self)
        self._work.done.connect(self._arrived)
        self._work.failed.connect(self._failed)

    @property
    def busy(self) -> bool:
        """Whether the times last asked for are still being computed."""
        return self._work.busy

    def of(self, bike: Bike, circuit: Circuit | None, space: Space) -> Times:
        """Seconds for each candidate in their order; None without a circuit, or while they are being computed."""
        asked = None if circuit is None else (bike, circuit, space)
        if circuit is None or self._known[0] == asked:
            self._work.cancel()
            return None if circuit is None else self._known[1]
        if self._work.busy and self._asked == asked:
            return None
        self._asked, wanted = asked, circuit

        def work(_tell: Tell, _unwanted: Unwanted) -> object:
            return asked, lap_times_of(bike, wanted, candidates(bike, space))

        self._work.start(work)
        return None

    def finish(self) -> None:
        """The window closes: nothing is worked on any more."""
        self._work.finish()

    def _arrived(self, answer: object) -> None:
        assert isinstance(answer, tuple)
        self._known = answer
        self.ready.emit()

    def _failed(self, failed: object) -> None:
        assert isinstance(failed, BaseException)
        raise failed
