"""The one registry of pint's units: to read its definitions takes half a second."""

from __future__ import annotations

from typing import Any

import pint

REGISTRY: Any = pint.UnitRegistry()
