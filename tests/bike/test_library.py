"""The shipped tables are read once and shared: nobody can change them for the others."""

from __future__ import annotations

import pytest

from gearplan.bike.library import chain_sizes, demo_bikes, demo_circuits


def test_what_is_shared_cannot_be_changed() -> None:
    sizes = chain_sizes()
    for shared in (sizes, sizes["520"].sources, demo_bikes(), demo_circuits()):
        with pytest.raises(TypeError, match="item assignment"):
            shared[next(iter(shared))] = None  # type: ignore[index]
