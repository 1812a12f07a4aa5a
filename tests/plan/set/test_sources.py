"""Where the strengths and masses of the table of chain sizes come from is told in every language."""

from __future__ import annotations

from gearplan.bike.library import chain_sizes
from gearplan.plan.set.strength import TABLE_SOURCES


def test_the_catalogues_have_each_source_that_is_told() -> None:
    told = [
        s.sources[key] for s in chain_sizes().values() for key in ("tensile_kn", "mass_kg_per_m") if key in s.sources
    ]
    assert set(told) == set(TABLE_SOURCES)
