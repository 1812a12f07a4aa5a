"""Taking up the version of a bike before its last save: a change like any other, until it is saved or undone."""

from __future__ import annotations

from gearplan.bike.files.bikefile import BikeFileError, bike_from_text
from gearplan.bike.files.earlier import earlier
from gearplan.language import tr
from gearplan.window.document.document import Document
from gearplan.window.frame.message import MessageStrip


def take_earlier(document: Document, message: MessageStrip) -> None:
    """Put the earlier version in place of what is open, and say how to keep or leave it."""
    path = document.path
    kept = None if path is None else earlier(path)
    if path is None or kept is None:
        message.say(tr("There is no earlier version of this bike: one is kept when its file is saved again."))
        return
    try:
        opened = bike_from_text(kept.decode("utf-8"), path.name)
    except (BikeFileError, UnicodeDecodeError):
        message.say(tr("The earlier version of {name} cannot be read.", name=path.name), wrong=True)
        return
    document.edit(tr("Earlier version"), opened.bike)
    message.say(tr("This is {name} as it was before its last save. Save it to keep it so, or undo.", name=path.name))
