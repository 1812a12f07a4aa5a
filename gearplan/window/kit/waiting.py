"""Waiting for a file on a drive that may not answer: the window stays alive, and whoever waits can give up."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar, cast

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QProgressDialog, QWidget

from gearplan.language import tr
from gearplan.window.kit.plaintext import plain

_Answer = TypeVar("_Answer")

#: What takes no longer needs no words (s).
_AT_ONCE = 0.5
_LOOK_MS = 50


class GivenUp(Exception):
    """It did not answer, and was waited for no longer; the message is for the person who gave up."""


def awaited(work: Callable[[], _Answer], what: str, parent: QWidget) -> _Answer:
    """What some work with a file gives, or the exception that it raises; GivenUp where a person leaves off waiting.

    `what` names the file. The work is done in a thread, which ends with the program if it never returns.
    """
    found: list[tuple[bool, object]] = []

    def run() -> None:
        try:
            found.append((True, work()))
        except Exception as failed:
            found.append((False, failed))

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    thread.join(_AT_ONCE)
    if thread.is_alive():
        ended(thread, tr("Opening"), tr("Waiting for {what} …", what=what), tr("Give up"), parent)
    if not found:
        raise GivenUp(tr("{what} did not answer and was not opened.", what=what))
    good, answer = found[0]
    if not good:
        raise cast("Exception", answer)
    return cast("_Answer", answer)


def ended(thread: threading.Thread, title: str, text: str, leave: str, parent: QWidget) -> bool:
    """Wait with words until a thread has ended; False if that is given up by the button `leave`."""
    dialog = QProgressDialog(plain(text), leave, 0, 0, parent)
    dialog.setWindowTitle(title)
    dialog.setWindowModality(Qt.WindowModality.WindowModal)
    look = QTimer(dialog)
    look.setInterval(_LOOK_MS)
    look.timeout.connect(lambda: None if thread.is_alive() else dialog.accept())
    look.start()
    dialog.exec()
    look.stop()
    dialog.deleteLater()
    return not thread.is_alive()
