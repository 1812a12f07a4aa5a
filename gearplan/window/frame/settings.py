"""What the program remembers between starts: units, appearance, window size, recent files.

A file of its own in the user's configuration folder, written safely; unreadable settings mean the defaults.
"""

from __future__ import annotations

import os
import tomllib
from dataclasses import asdict, dataclass, fields, replace
from pathlib import Path

from gearplan.bike.files.atomic import replace_file
from gearplan.plan.pull import asked as pullasked
from gearplan.window.kit import theme

SPEED_UNITS = ("km/h", "mph")
APPEARANCES = ("system", "light", "dark")
PAPERS = ("A4", "Letter")
_RECENT = 10


@dataclass(frozen=True, slots=True)
class Settings:
    """The remembered settings; immutable."""

    speed_unit: str = "km/h"
    appearance: str = "system"
    text_size: float = 1.0
    width: int = 1280
    height: int = 800
    maximised: bool = False
    recent: tuple[str, ...] = ()
    shop_name: str = ""
    shop_logo: str = ""
    paper: str = "A4"
    sprints: str = pullasked.SPRINTS
    roll_ons: str = pullasked.ROLL_ONS
    slopes: str = pullasked.SLOPES
    speeds: str = pullasked.SPEEDS

    def with_recent(self, path: Path) -> Settings:
        """The same with a file at the head of the recent ones."""
        name = str(path.absolute())
        rest = [known for known in self.recent if known != name]
        return replace(self, recent=(name, *rest)[:_RECENT])


def settings_file() -> Path:
    """Where the settings live: $XDG_CONFIG_HOME/gearplan, by the desktop's convention."""
    base = os.environ.get("XDG_CONFIG_HOME", "")
    root = Path(base) if base.startswith("/") else Path.home() / ".config"
    return root / "gearplan" / "settings.toml"


def load() -> Settings:
    """The remembered settings; what is missing or makes no sense is the default."""
    try:
        read = tomllib.loads(settings_file().read_text(encoding="utf-8"))
    except (OSError, ValueError, RuntimeError):
        return Settings()
    default = Settings()
    kept: dict[str, object] = {}
    for f in fields(Settings):
        given = read.get(f.name)
        if isinstance(given, list):
            given = tuple(name for name in given if isinstance(name, str))[:_RECENT]
        if type(given) is type(getattr(default, f.name)):
            kept[f.name] = given
    found = replace(default, **kept)  # type: ignore[arg-type]
    return replace(
        found,
        speed_unit=found.speed_unit if found.speed_unit in SPEED_UNITS else default.speed_unit,
        appearance=found.appearance if found.appearance in APPEARANCES else default.appearance,
        paper=found.paper if found.paper in PAPERS else default.paper,
        text_size=found.text_size if found.text_size in theme.SCALES else default.text_size,
        width=min(max(found.width, 640), 10000),
        height=min(max(found.height, 480), 10000),
    )


def asked(settings: Settings) -> dict[str, str]:
    """What is to be timed and listed, as written; text that cannot be read any more is the default."""
    found = {}
    for key, read in (
        ("sprints", pullasked.read_sprints),
        ("roll_ons", pullasked.read_roll_ons),
        ("slopes", pullasked.read_slopes),
        ("speeds", pullasked.read_speeds),
    ):
        found[key] = getattr(settings, key)
        try:
            read(found[key])
        except pullasked.AskedError:
            found[key] = getattr(Settings(), key)
    return found


def store(settings: Settings) -> str | None:
    """Keep the settings; returns why not, in words, if that failed. Nothing depends on its success."""
    import tomlkit

    path = settings_file()
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        replace_file(path, tomlkit.dumps({**asdict(settings), "recent": list(settings.recent)}).encode())
    except OSError as failed:
        return f"The settings could not be kept in {path}: {failed.strerror}"
    return None
