"""The bill of parts, held to what CycloneDX 1.6 requires (ECMA-424, the `required` of the JSON schema)."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from making import bill

ROOT = Path(__file__).parents[2]
PINS = (ROOT / "packaging" / "pins" / "run.txt").read_text(encoding="utf-8")


def test_the_bill_has_what_the_standard_requires() -> None:
    made = json.loads(bill.of(ROOT, "2026-11-27"))
    assert (made["bomFormat"], made["specVersion"], made["version"]) == ("CycloneDX", "1.6", 1)
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", made["metadata"]["timestamp"])
    for part in (made["metadata"]["component"], *made["components"]):
        assert part["type"] in ("application", "library")
        assert part["name"]
        assert part["version"]
        (licence,) = part["licenses"]
        assert set(licence) in ({"license"}, {"expression"})
    refs = [part["bom-ref"] for part in made["components"]]
    assert len(refs) == len(set(refs))
    (dependency,) = made["dependencies"]
    assert dependency["dependsOn"] == refs


def test_every_pinned_part_stands_in_it_with_its_sums() -> None:
    made = json.loads(bill.of(ROOT, "2026-11-27"))
    found = {part["name"]: part for part in made["components"]}
    for name, version in re.findall(r"^([a-z0-9-]+)==([\w.]+)", PINS, re.MULTILINE):
        assert found[name]["version"] == version
        assert found[name]["purl"] == f"pkg:pypi/{name}@{version}"
    sums = {one["value"] for part in made["components"] for one in part.get("properties", ())}
    assert sums == set(re.findall(r"sha256:([0-9a-f]{64})", PINS))
    assert "python" in found


def test_the_bill_is_the_same_each_time() -> None:
    assert bill.of(ROOT, "2026-11-27") == bill.of(ROOT, "2026-11-27")


def test_a_part_that_nobody_knows_is_refused() -> None:
    pin = f"no-such-part==1.0 \\\n    --hash=sha256:{'0' * 64}\n"
    with pytest.raises(ValueError, match="not installed"):
        bill.bill(pin, "2026-11-27")
