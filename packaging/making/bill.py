"""The bill of what is shipped, as CycloneDX 1.6 (ECMA-424) has it: each part with version, licence and sums.

It follows from the pins and the installed parts' own words alone, so that it is the same whoever makes it, and when.
"""

from __future__ import annotations

import json
import platform
import re
from importlib.metadata import PackageNotFoundError, metadata
from pathlib import Path
from typing import Any

from gearplan import __version__

#: What its metadata does not say as an SPDX expression.
_LICENCES = {"colorama": "BSD-3-Clause"}
_PIN = re.compile(r"^([a-z0-9-]+)==([\w.]+)(?:[^\\\n]*)((?:\s*\\?\s+--hash=sha256:[0-9a-f]{64})+)", re.MULTILINE)


def bill(pins: str, day: str) -> bytes:
    """The bill for pins as pip has them, with the day of the version; ValueError for a part whose licence is unsaid."""
    parts = [_part(name, version, sums) for name, version, sums in _PIN.findall(pins)]
    parts.append(_component("python", platform.python_version(), "PSF-2.0", "pkg:generic/python@{}"))
    made: dict[str, Any] = {
        "$schema": "http://cyclonedx.org/schema/bom-1.6.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {
            "timestamp": f"{day}T00:00:00Z",
            "component": {
                "type": "application",
                "bom-ref": f"gearplan@{__version__}",
                "name": "gearplan",
                "version": __version__,
                "licenses": [{"license": {"id": "MIT"}}],
            },
        },
        "components": parts,
        "dependencies": [
            {"ref": f"gearplan@{__version__}", "dependsOn": [part["bom-ref"] for part in parts]},
        ],
    }
    return (json.dumps(made, indent=2, ensure_ascii=False) + "\n").encode()


def _part(name: str, version: str, sums: str) -> dict[str, Any]:
    # Each is served as several files, one for each machine: which one was taken is one of these.
    told = _component(name, version, _licence(name), f"pkg:pypi/{name}@{{}}")
    served = re.findall(r"[0-9a-f]{64}", sums)
    return told | {"properties": [{"name": "gearplan:served-sha256", "value": one} for one in served]}


def _component(name: str, version: str, licence: str, purl: str) -> dict[str, Any]:
    whole = purl.format(version)
    return {
        "type": "library",
        "bom-ref": whole,
        "name": name,
        "version": version,
        "purl": whole,
        "licenses": [{"expression": licence}],
    }


def _licence(name: str) -> str:
    if name in _LICENCES:
        return _LICENCES[name]
    try:
        told = metadata(name)
    except PackageNotFoundError:
        raise ValueError(f"{name} is pinned and not installed") from None
    found = next((told[key] for key in ("License-Expression", "License") if told[key]), "")
    if not re.fullmatch(r"[A-Za-z0-9.\-+]+(?: (?:AND|OR|WITH) [A-Za-z0-9.\-+]+)*", found):
        raise ValueError(f"the licence of {name} is not said as an SPDX expression: {found[:60]!r}")
    return found


def of(project: Path, day: str) -> bytes:
    """The bill of the project's own pins."""
    return bill((project / "packaging" / "pins" / "run.txt").read_text(encoding="utf-8"), day)
