"""From one area of the window to the next by a key: pages, set bar, verdict, the page's parts, a message."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from weakref import WeakKeyDictionary

from PySide6.QtCore import QObject, Qt
from PySide6.QtWidgets import QApplication, QWidget

#: Gives the areas that are in sight now, in the order in which one goes through them; one may lie inside another.
Parts = Callable[[], Iterable[QWidget]]


class Areas(QObject):
    """Goes round the areas; in each the keyboard is again where it was last, or at the first thing that takes keys."""

    def __init__(self, window: QWidget, parts: Parts) -> None:
        super().__init__(window)
        self._window, self._parts = window, parts
        self._last: WeakKeyDictionary[QWidget, QWidget] = WeakKeyDictionary()
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._note)

    def _note(self, _before: QWidget | None, now: QWidget | None) -> None:
        if now is not None and (area := self._holding(now)) is not None:
            self._last[area] = now

    def _holding(self, widget: QWidget) -> QWidget | None:
        """The area in which a widget lies, the innermost of several."""
        around = [area for area in self._parts() if area is widget or area.isAncestorOf(widget)]
        return next((a for a in around if not any(a is not b and a.isAncestorOf(b) for b in around)), None)

    def go(self, by: int) -> None:
        """To the next area that takes the keyboard, or with -1 to the one before."""
        areas = list(self._parts())
        at = QApplication.focusWidget()
        here = None if at is None else self._holding(at)
        start = areas.index(here) if here in areas else (-1 if by > 0 else 0)
        for step in range(1, len(areas) + 1):
            area = areas[(start + by * step) % len(areas)]
            if area is not here and (target := self._target(area)) is not None:
                target.setFocus(Qt.FocusReason.TabFocusReason if by > 0 else Qt.FocusReason.BacktabFocusReason)
                return

    def _target(self, area: QWidget) -> QWidget | None:
        last = self._last.get(area)
        if last is not None and _takes_keys(last) and self._holding(last) is area:
            return last
        at: QWidget | None = area
        while at is not None:
            if _takes_keys(at) and self._holding(at) is area:
                return at
            at = at.nextInFocusChain()
            if at is area:
                break
        return None


def _takes_keys(widget: QWidget) -> bool:
    return bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus) and widget.isVisible() and widget.isEnabled()
