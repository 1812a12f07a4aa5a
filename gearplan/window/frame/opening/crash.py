"""When the program itself fails: write it down, keep the work, tell the user, go on."""

from __future__ import annotations

import platform
import re
import sys
import traceback
from datetime import datetime
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import qVersion

from gearplan import __version__
from gearplan.bike.files.ownfolders import state_folder
from gearplan.bike.profile import Owner, entries
from gearplan.language import tr

from . import recovery

if TYPE_CHECKING:
    from gearplan.window.frame.workbench import Workbench

#: A log of this size (bytes) becomes the earlier one, which it replaces.
_LONGEST_LOG = 1_000_000
_guarded: list[Workbench] = []


def guard(window: Workbench) -> None:
    """From now on an unforeseen error in this window is caught; installed before it is shown."""
    _guarded[:] = [window]
    sys.excepthook = _caught


def release() -> None:
    """The window has ended."""
    _guarded.clear()
    sys.excepthook = sys.__excepthook__


def without_owner(report: str, owner: Owner) -> str:
    """The report with nothing in it that is entered of the owner."""
    for key, _ in entries("owner"):
        if private := getattr(owner, key):
            report = re.sub(rf"(?<!\w){re.escape(private)}(?!\w)", f"[{key}]", report, flags=re.IGNORECASE)
    return report


def _versions() -> str:
    """What runs, for whoever reads the report."""
    python = ".".join(map(str, sys.version_info[:3]))
    return tr(
        "Gearplan {version}, Python {python}, Qt {qversion}, {platform}",
        version=__version__,
        python=python,
        qversion=qVersion(),
        platform=platform.platform(terse=True),
    )


def _caught(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    if not issubclass(kind, Exception) or not _guarded:
        sys.__excepthook__(kind, error, trace)
        return
    window = _guarded[0]
    report = without_owner("".join(traceback.format_exception(kind, error, trace)), window.document.bike.owner)
    report = f"{_versions()}\n{report}"
    if sys.stderr is not None:
        sys.stderr.write(report)
    log = state_folder() / "errors.log"
    told = tr("Something in the program failed ({name}: {error}).", name=kind.__name__, error=error)
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        if log.exists() and log.stat().st_size > _LONGEST_LOG:
            log.replace(log.with_name("errors-before.log"))
        with log.open("a", encoding="utf-8") as file:
            file.write(f"{datetime.now().isoformat(timespec='seconds')} {report}")
        told += tr(" Details are in {log}.", log=log)
        recovery.keep_unsaved(window.document)
        told += tr(" Your entries are kept; save them now.")
    except OSError as failed:
        told += tr(" It could not be written down ({strerror}); save your work now.", strerror=failed.strerror)
    window.message.say_failed(told, report)
