"""Reads the tables of published values; lines that begin with # are their sources."""

from __future__ import annotations

import csv
import tomllib
from pathlib import Path
from typing import Any

_HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    lines = (_HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def examples(kind: str) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = tomllib.loads((_HERE / "chain_examples.toml").read_text(encoding="utf-8"))[kind]
    return found
