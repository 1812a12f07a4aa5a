"""What is installed is pinned to the byte: each package by its version and by the sums of the files it is served as."""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest

from gearplan.window.frame.menus.helptexts import ABOUT

ROOT = Path(__file__).parents[2]
PINS = ROOT / "packaging" / "pins"


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()


def pins(name: str) -> dict[str, tuple[str, list[str]]]:
    """(version, sums) by package."""
    joined = (PINS / f"{name}.txt").read_text(encoding="utf-8").replace("\\\n", " ")
    lines = [line for line in joined.splitlines() if line and not line.startswith("#")]
    found = {}
    for line in lines:
        read = re.match(r"([a-z0-9-]+)==([\w.]+)(?: ; [^-]*)?((?:\s+--hash=sha256:[0-9a-f]{64})+)\s*$", line)
        assert read, line[:80]
        found[read[1]] = read[2], re.findall(r"sha256:([0-9a-f]{64})", read[3])
    return found


@pytest.mark.parametrize("name", ["run", "build", "test"])
def test_each_dependency_is_pinned_with_its_sums(name: str) -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *project["optional-dependencies"].get(name, ())]
    wanted = {plain(re.split(r"[<>=!~ \[;]", one, maxsplit=1)[0]) for one in asked}
    found = pins(name)
    assert wanted <= set(found)
    # The same file is installed for the program, whatever else is.
    for other, (at, sums) in pins("run").items():
        assert found[other][0] == at
        assert set(found[other][1]) == set(sums)


def test_each_part_that_is_shipped_is_named_with_its_licence() -> None:
    papers = (ROOT / "packaging" / "desktop" / "copyright").read_text(encoding="utf-8")
    for part in pins("run"):
        name = part.removesuffix("-essentials")
        assert re.search(name, ABOUT, re.IGNORECASE), part
        assert re.search(name, papers, re.IGNORECASE), part


def test_what_is_tested_is_what_is_pinned() -> None:
    found = {name: version(name) for name in pins("test")}
    assert found == {name: at for name, (at, _) in pins("test").items()}
