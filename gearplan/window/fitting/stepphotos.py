"""Photos of a step: chosen, copied beside the bike's file, opened, taken off."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QFileDialog, QWidget

from gearplan.bike.files.photos import add_photo, photo_path
from gearplan.bike.work.job import Job
from gearplan.language import tr
from gearplan.plan.job.job import with_text
from gearplan.plan.job.steps.targets import Step
from gearplan.window.document.document import Document
from gearplan.window.fitting.stepextras import StepExtras, small_picture

_SAVE_FIRST = tr("Save the bike first: photos are kept in a folder beside its file.")


class StepPhotos(QObject):
    """`changed` carries the job with a photo more or less, and the words of the change."""

    changed = Signal(object, str)

    def __init__(self, document: Document, extras: StepExtras, parent: QWidget) -> None:
        super().__init__(parent)
        self._document, self._extras, self._window = document, extras, parent
        self._job, self._step = Job(), Step("", "", ())
        extras.photo_asked.connect(self._ask)
        extras.photo_opened.connect(self._open)
        extras.photo_removed.connect(self._remove)

    def show_step(self, job: Job, step: Step) -> None:
        """Show the photos of a step."""
        self._job, self._step = job, step
        names = [name for name, key in job.photos if key == step.key]
        found = (self._path(name) for name in names)
        self._extras.show_step(self._document.bike, job, step, tuple(path for path in found if path is not None))

    def attach(self, source: Path) -> bool:
        """Copy a photo beside the bike's file and note it at the step; what cannot be is said."""
        bike_file = self._document.path
        if bike_file is None:
            self._extras.say(_SAVE_FIRST)
            return False
        if small_picture(source, 96) is None:
            self._extras.say(tr("{name} is no picture that can be read.", name=source.name))
            return False
        try:
            name = add_photo(bike_file, source, self._job.date or "", self._step.key)
        except OSError as failed:
            self._extras.say(tr("{name} cannot be copied: {strerror}.", name=source.name, strerror=failed.strerror))
            return False
        except ValueError as refused:
            self._extras.say(f"{refused}.")
            return False
        self._extras.say("")
        self.changed.emit(with_text(self._job, "photos", name, self._step.key), tr("Photo"))
        return True

    def _ask(self) -> None:
        if self._document.path is None:
            self._extras.say(_SAVE_FIRST)
            return
        kinds = tr("Pictures (*.jpg *.jpeg *.png *.webp *.bmp)")
        names, _ = QFileDialog.getOpenFileNames(self._window, tr("Attach photos to this step"), "", kinds)
        for name in names:
            if not self.attach(Path(name)):
                return

    def _open(self, name: str) -> None:
        if (path := self._path(name)) is not None:
            QDesktopServices.openUrl(QUrl.fromLocalFile(str(path)))

    def _remove(self, name: str) -> None:
        # The file stays: Undo brings the photo back.
        self.changed.emit(with_text(self._job, "photos", name, ""), tr("Take a photo off"))

    def _path(self, name: str) -> Path | None:
        return None if self._document.path is None else photo_path(self._document.path, name)
