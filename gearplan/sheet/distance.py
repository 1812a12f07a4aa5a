"""Type that is read from a distance. Draws nothing.

A capital letter must fill 16 minutes of arc to be read at all (ISO 9241-303, from memory).
"""

from __future__ import annotations

import math

from gearplan.sheet.flow import metrics

#: Inch in millimetres, and how finely an ordinary screen is taken to be divided where it does not say its size.
_INCH, _USUAL_DPI = 25.4, 96.0
#: What a screen says of its size is believed within these dots per inch: some say they are as large as a wall.
_BELIEVED = (40.0, 400.0)
_SMALLEST, _LARGEST = 8, 400


def capital(metres: float) -> float:
    """How high (mm) a capital must be to be read from a distance (m)."""
    return metres * 1000 * math.tan(math.radians(16 / 60))


def type_of_capitals(high: float) -> int:
    """The least size of type, in pixels, whose capitals are so many pixels high."""
    sizes = range(_SMALLEST, _LARGEST)
    return next((size for size in sizes if metrics(size, True).capHeight() >= high), _LARGEST)


def readable(metres: float, pixels: float, millimetres: float) -> int:
    """The least size of type, in pixels, on a screen of so many pixels across so many millimetres.

    A screen that says nothing of its size, or nothing to be believed, is taken as an ordinary one.
    """
    dpi = pixels / millimetres * _INCH if millimetres > 0 else 0.0
    if not _BELIEVED[0] <= dpi <= _BELIEVED[1]:
        dpi = _USUAL_DPI
    return type_of_capitals(capital(metres) / _INCH * dpi)
