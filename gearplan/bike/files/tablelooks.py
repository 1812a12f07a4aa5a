"""What a person said of the columns of a table, kept for the next table that looks the same.

The look of a table is what stands above its columns. For each use (such as a ride log) and look the file holds what
each column was said to be, as (what it holds, unit), in the order of the columns.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Protocol, Self, TypeVar

from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.ownfolders import state_folder

Said = tuple[tuple[str, str], ...]


class _Layout(Protocol):
    """The columns of a table as guessed or confirmed."""

    @property
    def look(self) -> tuple[str, ...]:
        """What stands above the columns; nothing where there is no heading."""
        ...

    @property
    def said(self) -> Said:
        """What each column holds, and its unit."""
        ...

    @property
    def usable(self) -> bool:
        """Whether the columns tell what is needed."""
        ...

    @property
    def sure(self) -> bool:
        """Whether they leave no doubt."""
        ...

    def as_said(self, said: Said) -> Self:
        """The same with columns as they were said; as it is, if that does not fit it."""
        ...


SomeLayout = TypeVar("SomeLayout", bound=_Layout)

#: So many looks of each use are kept, the latest.
_MOST = 50
_MOST_BYTES = 5_000_000


def recall(use: str, look: Sequence[str]) -> Said | None:
    """What was said of the columns of a table with this look; None if nothing was, or it cannot be read."""
    for one in reversed(_kept().get(use, [])):
        if one["look"] == list(look):
            return tuple((holds, unit) for holds, unit in one["columns"])
    return None


def remember(use: str, look: Sequence[str], said: Said) -> None:
    """Keep what was said in place of what was said before; OSError if it cannot be written."""
    kept = _kept()
    rest = [one for one in kept.get(use, []) if one["look"] != list(look)]
    kept[use] = [*rest, {"look": list(look), "columns": [list(one) for one in said]}][-_MOST:]
    path = _path()
    path.parent.mkdir(parents=True, exist_ok=True)
    replace_file(path, json.dumps(kept, ensure_ascii=False, indent=1).encode("utf-8", "surrogatepass"))


def as_before(use: str, layout: SomeLayout) -> tuple[SomeLayout, bool]:
    """A layout as it was said before, and whether nothing need be asked: it leaves no doubt, or was confirmed then."""
    said = recall(use, layout.look) if layout.look else None
    if said is not None and said != layout.said:
        layout = layout.as_said(said)
    return layout, layout.usable and (layout.sure or said == layout.said)


def keep(use: str, layout: _Layout) -> None:
    """Keep what a person has said of the columns, where something stands above them; OSError as of `remember`."""
    if layout.look:
        remember(use, layout.look, layout.said)


def _path() -> Path:
    return state_folder() / "columns.json"


def _kept() -> dict[str, list[dict[str, Any]]]:
    """What the file holds, as far as it makes sense."""
    path = _path()
    try:
        if path.stat().st_size > _MOST_BYTES:
            return {}
        read = json.loads(path.read_bytes().decode("utf-8", "surrogatepass"))
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(read, dict):
        return {}
    return {use: list(filter(_is_one, ones)) for use, ones in read.items() if isinstance(ones, list)}


def _is_one(one: object) -> bool:
    if not isinstance(one, dict) or not isinstance(one.get("look"), list) or not isinstance(one.get("columns"), list):
        return False
    pairs = one["columns"]
    return all(isinstance(pair, list) and len(pair) == 2 and all(isinstance(t, str) for t in pair) for pair in pairs)
