"""What a chart shows, for who does not see it and for other programs: a sentence, and a table of its curves' points."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gearplan.language import tr

Floats = NDArray[np.float64]
#: Heads and rows.
Table = tuple[tuple[str, ...], list[tuple[str, ...]]]
#: So many digits of a value are told, and written into a table: no chart is drawn from better known ones.
_TOLD, _WRITTEN = 3, 5
#: More curves than so many are told only by their names.
_MOST_TOLD = 4


def curves(plot: Any) -> Iterator[tuple[str, Floats, Floats]]:
    """Name, x and y of each curve in sight that has a name; what has none is paper, not data."""
    for item in plot.items:
        name = item.opts.get("name") if isinstance(getattr(item, "opts", None), dict) else None
        if not name or not item.isVisible() or not hasattr(item, "getData"):
            continue
        x, y = item.getData()
        if x is None or y is None:
            continue
        across, up = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
        if item.opts.get("connect") == "pairs":
            # Sticks: each has a foot and a head, and says what its head does.
            across, up = across[1::2], up[1::2]
        known = np.isfinite(across) & np.isfinite(up)
        if known.any():
            yield name, across[known], up[known]


def axes(plot: Any) -> tuple[str, str]:
    """The names of the axes across and up, as they stand there; empty without one."""
    across, up = (plot.getAxis(side).labelText.strip() for side in ("bottom", "left"))
    return across, up


def sentence(plot: Any) -> str:
    """Which curves there are, how each begins and ends, and where it is highest."""
    across, up = axes(plot)
    drawn = list(curves(plot))
    if not drawn:
        return tr("Nothing is drawn.")
    named = ". ".join(
        filter(None, (tr("Across: {across}", across=across) if across else "", tr("Up: {up}", up=up) if up else ""))
    )
    if not named:
        return tr("Drawn: {join}.", join=", ".join((name for name, _, _ in drawn)))
    told = [_told(*curve) for curve in drawn[:_MOST_TOLD]]
    if len(drawn) > _MOST_TOLD:
        told.append(tr("Also ") + ", ".join(name for name, _, _ in drawn[_MOST_TOLD:]) + ".")
    return " ".join((f"{named}.", *told))


def _told(name: str, x: Floats, y: Floats) -> str:
    top = int(np.argmax(y))
    if len(x) == 1:
        return tr("{name}: {short} at {short2}.", name=name, short=_short(y[0]), short2=_short(x[0]))
    ends = tr(
        "{short} at {short2} to {short3} at {short4}",
        short=_short(y[0]),
        short2=_short(x[0]),
        short3=_short(y[-1]),
        short4=_short(x[-1]),
    )
    return tr(
        "{name}: from {ends}, highest {short} at {short2}.",
        name=name,
        ends=ends,
        short=_short(y[top]),
        short2=_short(x[top]),
    )


def table(plot: Any) -> Table:
    """Heads, and a row for each point of each curve."""
    across, up = axes(plot)
    rows: list[tuple[str, ...]] = [
        (name, _short(a, _WRITTEN), _short(b, _WRITTEN))
        for name, x, y in curves(plot)
        for a, b in zip(x.tolist(), y.tolist(), strict=True)
    ]
    return (tr("Curve"), across or tr("Across"), up or "Up"), rows


def _short(value: float, digits: int = _TOLD) -> str:
    return np.format_float_positional(float(f"{value:.{digits}g}"), trim="-")
