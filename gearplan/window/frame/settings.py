"""What the program remembers between starts: units, appearance, window size, recent files.

A file of its own in the user's configuration folder, written safely; unreadable settings mean the defaults. Windows
may share it: each change is written when it is made, into what the file holds by then.
"""

from __future__ import annotations

import contextlib
import time
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, fields, replace
from functools import partial
from pathlib import Path
from threading import Thread
from typing import IO, Any

from PySide6.QtCore import QObject, QTimer

from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.lock import lock
from gearplan.bike.files.ownfolders import settings_file
from gearplan.bike.text.unitset import CHOICES, UnitSet, sensible
from gearplan.language import LANGUAGES, tr
from gearplan.plan.pull import asked as pullasked
from gearplan.plan.quote.terms import TermsTyped
from gearplan.window.kit import theme
from gearplan.window.kit.places.twosides import SEAM
from gearplan.window.kit.view import View
from gearplan.window.tables.laststock import LastStock

SPEED_UNITS = CHOICES["speed"]
APPEARANCES = ("system", "light", "dark", "contrast")
PAPERS = ("A4", "Letter")
_RECENT = 10
#: The border between the sides of the pages is remembered between these shares.
_SEAMS = (0.1, 0.9)
#: What the shop says of itself once, for every page that is printed, and the number of its last quote.
_SHOP = (
    "shop_name", "shop_address", "shop_logo", "paper", "paper_folder", "owner_on_paper", "last_quote",
    *(f.name for f in fields(TermsTyped)),
)  # fmt: skip
#: What all windows have in common: a change in one is seen by the others. The rest each window keeps as it is.
_SHARED = ("recent", "bike_folders", "stock_list", *_SHOP)
#: What is being typed is written when the typing pauses.
_AFTER_MS = 500
#: Seconds to wait for another window to have written; it takes milliseconds.
_PATIENCE = 10.0

#: A change of the settings, applied to what this window holds and to what the file holds by then.
Change = Callable[["Settings"], "Settings"]


@dataclass(frozen=True, slots=True)
class Settings(TermsTyped):
    """The remembered settings, with what quotes rest on as it was typed; immutable."""

    speed_unit: str = "km/h"
    length_unit: str = "mm"
    distance_unit: str = "m"
    torque_unit: str = "N·m"
    power_unit: str = "kW"
    temperature_unit: str = "°C"
    pressure_unit: str = "hPa"
    mass_unit: str = "kg"
    #: Empty for that of the system.
    language: str = ""
    appearance: str = "system"
    text_size: float = 1.0
    width: int = 1280
    height: int = 800
    maximised: bool = False
    left: int = -1
    top: int = -1
    page: str = "Speed"
    last_bike: str = ""
    recent: tuple[str, ...] = ()
    bike_folders: tuple[str, ...] = ()
    stock_list: str = ""
    shop_name: str = ""
    shop_logo: str = ""
    shop_address: str = ""
    last_quote: int = 0
    paper_folder: str = ""
    paper: str = "A4"
    owner_on_paper: bool = False
    seam: float = SEAM
    tried_a_set: bool = False
    sprints: str = pullasked.SPRINTS
    roll_ons: str = pullasked.ROLL_ONS
    slopes: str = pullasked.SLOPES
    speeds: str = pullasked.SPEEDS

    @property
    def units(self) -> UnitSet:
        """The units of all quantities."""
        return sensible(UnitSet(**{name: getattr(self, f"{name}_unit") for name in CHOICES}))

    def with_units(self, units: UnitSet) -> Settings:
        """The same with other units."""
        return replace(self, **{f"{name}_unit": getattr(units, name) for name in CHOICES})

    def with_next_quote(self) -> Settings:
        """The same after one more quote."""
        return replace(self, last_quote=self.last_quote + 1)

    def with_recent(self, path: Path) -> Settings:
        """The same with a file at the head of the recent ones."""
        name = _name(path)
        if name is None:
            return self
        rest = [known for known in self.recent if known != name]
        return replace(self, recent=(name, *rest)[:_RECENT])

    def with_folder(self, folder: Path) -> Settings:
        """The same with one more folder of bikes, if it is none of them yet."""
        name = _name(folder)
        new = () if name is None or name in self.bike_folders else (name,)
        return replace(self, bike_folders=(*self.bike_folders, *new))

    def without_folder(self, folder: Path) -> Settings:
        """The same without a folder of bikes."""
        return replace(self, bike_folders=tuple(known for known in self.bike_folders if known != _name(folder)))


def _name(path: Path) -> str | None:
    """A path as it is remembered; None for one in no known letters, which cannot be written into the settings."""
    name = str(path.absolute())
    try:
        name.encode()
    except UnicodeEncodeError:
        return None
    return name


def gone(names: Iterable[str], patience: float = 0.3) -> set[str]:
    """Which files are not there any more; one on a drive that does not answer at once is taken as there."""
    asked = {name: Thread(target=lambda name=name: _look(name, found), daemon=True) for name in names}
    found: dict[str, bool] = {}
    for thread in asked.values():
        thread.start()
    until = time.monotonic() + patience
    for thread in asked.values():
        thread.join(max(until - time.monotonic(), 0))
    return {name for name, there in dict(found).items() if not there}


def _look(name: str, found: dict[str, bool]) -> None:
    found[name] = Path(name).exists()


def load() -> Settings:
    """The remembered settings; what is missing or makes no sense is the default."""
    try:
        return _settings(tomllib.loads(settings_file().read_text(encoding="utf-8")))
    except (OSError, ValueError, RuntimeError):
        return Settings()


def _settings(read: dict[str, Any]) -> Settings:
    default = Settings()
    kept: dict[str, object] = {}
    for f in fields(Settings):
        given = read.get(f.name)
        if isinstance(given, list):
            given = tuple(name for name in given if isinstance(name, str))
        if type(given) is type(getattr(default, f.name)):
            kept[f.name] = given
    found = replace(default, **kept)  # type: ignore[arg-type]
    return replace(
        found.with_units(found.units),
        language=found.language if found.language in LANGUAGES else default.language,
        appearance=found.appearance if found.appearance in APPEARANCES else default.appearance,
        paper=found.paper if found.paper in PAPERS else default.paper,
        text_size=found.text_size if found.text_size in theme.SCALES else default.text_size,
        last_quote=max(found.last_quote, 0),
        width=min(max(found.width, 640), 10000),
        height=min(max(found.height, 480), 10000),
        seam=found.seam if _SEAMS[0] <= found.seam <= _SEAMS[1] else default.seam,
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


class Remembered:
    """The settings of this window: `now` as they are, changed by `keep`.

    `tell` is given, once, why a change that the user made cannot be written. Nothing depends on its success.
    """

    def __init__(self, now: Settings, tell: Callable[[str], None]) -> None:
        self.now = now
        self._tell = tell
        self._refused = False

    def keep(self, change: Change, *, quietly: bool = False) -> None:
        """Change the settings here and in the file; what other windows wrote there stays."""
        self.now = change(self.now)
        try:
            held = _change_file(change)
        except OSError as failed:
            if not (quietly or self._refused):
                self._refused = True
                self._tell(
                    tr(
                        "The settings cannot be kept in {settings_file}: {strerror}",
                        settings_file=settings_file(),
                        strerror=failed.strerror,
                    )
                )
            return
        self.now = replace(self.now, **{key: getattr(held, key) for key in _SHARED})

    def keep_recent(self, path: Path) -> None:
        """A file was opened or saved."""
        self.keep(lambda now: now.with_recent(path), quietly=True)

    def look(self) -> Settings:
        """The settings, with what other windows have changed meanwhile."""
        self.keep(lambda now: now, quietly=True)
        return self.now


class ViewKeeper(QObject):
    """Gives the view what was remembered, and remembers what becomes of it."""

    def __init__(self, view: View, remembered: Remembered, parent: QObject) -> None:
        super().__init__(parent)
        self._view, self._remembered = view, remembered
        view.asked = asked(remembered.now)
        view.currency = remembered.now.currency
        view.stock_path = Path(remembered.now.stock_list) if remembered.now.stock_list else None
        self.last_stock = LastStock(view, self)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_AFTER_MS)
        self._timer.timeout.connect(self.keep)
        view.changed.connect(self._timer.start)
        view.asked_changed.connect(self._timer.start)

    def finish(self) -> None:
        """Before the window goes."""
        self.keep()
        self.last_stock.finish()

    def keep(self) -> None:
        """Write now what has changed."""
        self._timer.stop()
        now = self._remembered.now
        last = self._view.stock_path
        listed = "" if last is None else _name(last) or ""
        units = {f"{name}_unit": getattr(self._view.units, name) for name in CHOICES}
        change = partial(replace, stock_list=listed, **units, **self._view.asked)
        if change(now) != now:
            self._remembered.keep(change)


def _change_file(change: Change) -> Settings:
    """Write what a change makes different into the file, and return what it then holds."""
    path = settings_file()
    with _alone(path):
        try:
            read = tomllib.loads(path.read_text(encoding="utf-8"))
        except FileNotFoundError:
            read = {}
        except (ValueError, RuntimeError):
            # Not readable by this or any version: the defaults, as at the start.
            read = {}
        before = _settings(read)
        after = change(before)
        changed = {f.name: new for f in fields(Settings) if (new := getattr(after, f.name)) != getattr(before, f.name)}
        if changed:
            import tomlkit

            # A newer version's settings stay too.
            replace_file(path, tomlkit.dumps(read | changed).encode(), private=True)
    return after


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """Between reading and writing no other window writes; a file system without locks is taken as it is, and a window
    that stopped while it wrote is not waited for long."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.with_suffix(".lock").open("ab") as file:
        until = time.monotonic() + _PATIENCE
        while not _locked(file) and time.monotonic() < until:
            time.sleep(0.01)
        yield


def _locked(file: IO[bytes]) -> bool:
    """Whether the lock is held now, or none can be."""
    try:
        lock(file)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True
