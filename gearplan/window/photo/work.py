"""The picture, the points with their undo steps, and the step in hand; kept while the program runs."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QObject, Signal

from gearplan.photo import numbering
from gearplan.photo.points import GROUPS, HEAD, PINS, Group, Point
from gearplan.photo.told import Told
from gearplan.window.photo.picture import Picture


class PhotoWork(QObject):
    """`changed` after every change of the points or of what they are seen with, `moved` after another choice."""

    changed = Signal()
    moved = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.picture: Picture | None = None
        self.head_mm = HEAD.value * 1000
        self.step: Group = GROUPS[0]
        #: The chosen point's place among the points.
        self.chosen: int | None = None
        self.told: Told | None = None
        self._states: list[tuple[tuple[Point, ...], str]] = [((), "")]
        self._at = 0

    @property
    def points(self) -> tuple[Point, ...]:
        """The points as they are now."""
        return self._states[self._at][0]

    @property
    def point(self) -> Point | None:
        """The chosen point."""
        return None if self.chosen is None else self.points[self.chosen]

    @property
    def can_undo(self) -> bool:
        """Whether there is a step to take back."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether there is a step to do again."""
        return self._at + 1 < len(self._states)

    def miss(self, point: Point) -> float | None:
        """How far a point lies from where the others have it (px); None while nobody knows."""
        return None if self.told is None else dict(self.told.misses).get(point)

    def open(self, picture: Picture) -> None:
        """Begin with a picture; the points of another do not belong to it."""
        self.picture = picture
        self._begin()

    def forget(self) -> None:
        """Begin without a picture."""
        self.picture = None
        self._begin()

    def _begin(self) -> None:
        self.step, self.chosen, self.told = GROUPS[0], None, None
        self._states, self._at = [((), "")], 0
        self.changed.emit()
        self.moved.emit()

    def set_head(self, head_mm: float) -> None:
        """How far the pivot's bolt head stands out (mm)."""
        if head_mm != self.head_mm:
            self.head_mm = head_mm
            self.changed.emit()

    def choose(self, index: int | None) -> None:
        """Choose a point, and with it its step; None lets it go."""
        self.chosen = index
        if index is not None:
            self.step = self.points[index].group
        self.moved.emit()

    def take_step(self, group: Group) -> None:
        """Point at something else."""
        self.step, self.chosen = group, None
        self.moved.emit()

    def next_step(self, by: int) -> None:
        """The step behind or before this one."""
        place = min(max(GROUPS.index(self.step) + by, 0), len(GROUPS) - 1)
        self.take_step(GROUPS[place])

    def add(self, x: float, y: float, teeth: dict[str, int]) -> None:
        """Set a point of the step in hand, and choose it."""
        before = self.points
        points = numbering.added(before, self.step, x, y, teeth)
        self._take(points, "", len(points) - 1)

    def move(self, x: float, y: float, merge: str) -> None:
        """Put the chosen point elsewhere; moves in a row with the same `merge` are one step to undo."""
        if self.chosen is None or self.picture is None:
            return
        width, height = self.picture.size
        x, y = min(max(x, 0.0), width), min(max(y, 0.0), height)
        points = list(self.points)
        points[self.chosen] = replace(points[self.chosen], x=x, y=y)
        self._take(tuple(points), f"{merge} {self.chosen}", self.chosen)

    def let_go(self) -> None:
        """A drag is over: what follows from it is worked out."""
        self.end_merge()
        self.changed.emit()

    def end_merge(self) -> None:
        """The next move is a step of its own."""
        self._states[self._at] = (self.points, "")

    def count(self, by: int) -> None:
        """Count the chosen pin, and those behind it, to another number."""
        point = self.point
        if point is None or point.group not in PINS:
            return
        taken = {p.number for p in self.points if p.group == point.group and p.number < point.number}
        if point.number + by not in taken:
            self._take(numbering.counted_as(self.points, point, point.number + by), "", self.chosen)

    def remove(self) -> None:
        """Take the chosen point away."""
        if self.point is not None:
            self._take(numbering.removed(self.points, self.point), "", None)

    def replace_all(self, points: tuple[Point, ...]) -> None:
        """Take the points with other numbers."""
        self._take(points, "", self.chosen)

    def undo(self) -> None:
        """One step back."""
        self._go(-1)

    def redo(self) -> None:
        """One step forth again."""
        self._go(1)

    def _take(self, points: tuple[Point, ...], merge: str, chosen: int | None) -> None:
        self.chosen = chosen
        if points != self.points:
            merged = bool(merge) and merge == self._states[self._at][1]
            self._states[self._at + (0 if merged else 1) :] = [(points, merge)]
            self._at = len(self._states) - 1
            self.changed.emit()
        self.moved.emit()

    def _go(self, by: int) -> None:
        if not 0 <= self._at + by < len(self._states):
            return
        self.end_merge()
        self._at += by
        self.end_merge()
        self.chosen = None
        self.changed.emit()
        self.moved.emit()
