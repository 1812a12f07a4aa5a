"""When the program itself fails: write it down, keep the work, tell the user, go on."""

from __future__ import annotations

import sys
import traceback
from datetime import datetime
from types import TracebackType
from typing import TYPE_CHECKING

from gearplan import __version__
from gearplan.window.frame import recovery

if TYPE_CHECKING:
    from gearplan.window.frame.workbench import Workbench

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


def _caught(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
    sys.__excepthook__(kind, error, trace)
    if not issubclass(kind, Exception) or not _guarded:
        return
    window = _guarded[0]
    log = recovery.state_folder() / "errors.log"
    told = f"Something in the program failed ({kind.__name__}: {error})."
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        if log.exists() and log.stat().st_size > _LONGEST_LOG:
            log.unlink()
        with log.open("a", encoding="utf-8") as file:
            file.write(f"{datetime.now().isoformat(timespec='seconds')} Gearplan {__version__}\n")
            traceback.print_exception(kind, error, trace, file=file)
        told += f" Details are in {log}."
        recovery.keep_unsaved(window.document)
        told += " Your entries are kept; save them now."
    except OSError as failed:
        told += f" It could not be written down ({failed.strerror}); save your work now."
    window.message.say(told, wrong=True)
