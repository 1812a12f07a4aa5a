"""What of the customer's page is shown where it is read from afar: what has room in type that can be read, and no more.

Before the type would get smaller than that, the picture of the least change goes, then its figure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPainter

from gearplan.plan.customer.page import Customer
from gearplan.plan.findings import Level
from gearplan.sheet.appearance import Theme
from gearplan.sheet.customer.parts import Heads, Names, Part, Rows, Signed
from gearplan.sheet.customer.rows import Row
from gearplan.sheet.drawing import largest_size

#: A figure's size over that of the other type, the largest first, and the most that the type grows where there is room.
_FACTORS, _GROWTH = (2.0, 1.5, 1.15), 1.5
#: Between parts, in sizes of the type.
_GAP = 0.5


@dataclass(frozen=True)
class Arrangement:
    """Parts from top to bottom in one size of type; `fits` is False where even the fewest have no room."""

    parts: tuple[Part, ...]
    size: int
    fits: bool

    def height(self, width: float) -> float:
        """How high all parts are."""
        return needed(self.parts, self.size, width)

    def paint(self, painter: QPainter, box: QRectF, theme: Theme) -> None:
        """Draw all parts; what is left of the height goes to pictures as far as they use it, then between the parts."""
        wide, size = box.width(), self.size
        heights = [part.height(size, wide) for part in self.parts]
        spare = max(box.height() - self.height(wide), 0.0)
        for place, part in enumerate(self.parts):
            more = min(part.most(size, wide) - heights[place], spare)
            heights[place], spare = heights[place] + more, spare - more
        y, between = box.top(), _GAP * size + min(spare / len(self.parts), size)
        for part, high in zip(self.parts, heights, strict=True):
            part.paint(painter, QRectF(box.left(), y, wide, high), size, theme)
            y += high + between


def needed(parts: tuple[Part, ...], size: int, width: float) -> float:
    """How high parts are below one another."""
    return sum(part.height(size, width) for part in parts) + max(len(parts) - 1, 0) * _GAP * size


def arranged(
    content: Customer,
    rows: tuple[Row, ...],
    least: int,
    width: float,
    height: float,
    *,
    growth: float = _GROWTH,
    names: bool = True,
) -> Arrangement:
    """The most that has room in type of `least` pixels, or up to `growth` times as large; with or without the `names`
    of motorcycle and sets."""
    for way in _ways(content, rows, names):
        if _has_room(way, least, width, height):
            return Arrangement(way, _largest(way, least, growth, width, height), True)
    return Arrangement(fewest(content, rows), least, False)


def whole(content: Customer, rows: tuple[Row, ...], size: int, width: float, height: float) -> Arrangement:
    """All that is told, without the names of motorcycle and sets, in one size of type."""
    parts = next(_ways(content, rows, names=False))
    return Arrangement(parts, size, _has_room(parts, size, width, height))


def fewest(content: Customer, rows: tuple[Row, ...]) -> tuple[Part, ...]:
    """What is shown however small the place is."""
    *_, last = _ways(content, rows, names=False)
    return last


def _largest(parts: tuple[Part, ...], least: int, growth: float, width: float, height: float) -> int:
    sizes = range(least, max(round(growth * least), least + 1))
    return largest_size(sizes, lambda size: _has_room(parts, size, width, height))


def _has_room(parts: tuple[Part, ...], size: int, width: float, height: float) -> bool:
    left = height + _GAP * size
    for part in parts:
        left -= part.height(size, width) + _GAP * size
        if left < 0:
            return False
    return True


def _ways(content: Customer, rows: tuple[Row, ...], names: bool) -> Iterator[tuple[Part, ...]]:
    """What can be shown, the most first."""
    refused = content.level == "does not fit"
    fit, buy = content.about("fit"), content.about("parts")
    above: tuple[Part, ...] = ()
    if refused and fit is not None:
        above = (Signed("does not fit", f"{fit.short}. {fit.beside}", bold=True, band=True),)
    below = tuple(Signed("check", words, band=True) for words in content.amiss)
    fits = fit.short if fit is not None and not refused else ""
    bought = "" if buy is None else buy.short
    lasts = [_last(content.level, fits, f"{bought}{buy.beside if buy is not None else ''}")]
    lasts += [_last(content.level, fits, bought), _last(content.level, fits, "")]
    sets = [(Names(bike, content.fitted, content.proposed),) if names else () for bike in (content.bike, "")]
    around = [(sets[0], lasts[0]), (sets[1], lasts[0]), (sets[1], lasts[1]), ((), lasts[1]), ((), lasts[2])]
    if rows and refused and fit is not None:
        # Which of the rows it is says its sign.
        shorter: tuple[Part, ...] = (Signed("does not fit", f"{fit.short}.", bold=True, band=True),)
        for table in _tables(content, rows):
            for first in (*sets, ()):
                yield (*first, *above, table)
                yield (*first, *shorter, table)
    elif rows:
        for table in _tables(content, rows):
            for first, last in around:
                yield (*first, table, *below, *last)
    for middles in _figures(content, refused):
        for first, last in around:
            for middle in middles:
                yield (*first, *above, middle, *below, *last)
    for first, last in around:
        yield (*first, *above, *below, *last)


def _last(level: Level, fits: str, bought: str) -> tuple[Part, ...]:
    told = ". ".join(words for words in (fits, bought) if words)
    return (Signed("fits" if fits else level, told),) if told else ()


def _tables(content: Customer, rows: tuple[Row, ...]) -> Iterator[Rows]:
    """Rows under the heads of the shown set's figures, the most first."""
    about = tuple(head.about for head, _ in content.heads)
    for count in range(len(about), 0, -1):
        for bars in (True, False):
            for priced in (True, False):
                yield Rows(rows, about[:count], bars, priced)


def _figures(content: Customer, refused: bool) -> Iterator[tuple[Part, ...]]:
    """Figures, the most first; in each group the same ones, the largest first."""
    heads = content.heads
    for count in range(len(heads), 0, -1):
        for pictured in (True, False):
            yield tuple(Heads(heads[:count], factor, pictured, refused) for factor in _FACTORS)
