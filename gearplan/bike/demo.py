"""The demo bikes, read: invented machines that show what a full profile holds."""

from __future__ import annotations

from gearplan.bike.files.bikefile import BikeFile, bike_from_text
from gearplan.bike.library import demo_bikes


def demo_bike(name: str | None = None) -> BikeFile:
    """A demo bike by its name, or the first; KeyError if there is none of that name."""
    bikes = demo_bikes()
    chosen = next(iter(bikes)) if name is None else name
    return bike_from_text(bikes[chosen].read_text(encoding="utf-8"), chosen)
