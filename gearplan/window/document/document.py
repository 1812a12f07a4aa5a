"""What the window works on: the profile, the proposed set, their history and their file."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from gearplan.bike.files.bikefile import BikeFile, read_bike, save_bike
from gearplan.bike.profile import Bike, with_value
from gearplan.language import tr
from gearplan.plan.driveset import DriveSet, fitted, plainly
from gearplan.plan.quote.proposals import at_start, set_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from gearplan.bike.circuit import Circuit
    from gearplan.bike.files.circuitfile import CircuitFile
    from gearplan.plan.lines.centreline import CentreLine

_KEPT_STEPS = 500


@dataclass(frozen=True, slots=True)
class State:
    """One moment of the work; immutable, so that undo is a step back in a list."""

    bike: Bike
    chosen: DriveSet
    circuit: Circuit | None = None
    circuit_path: Path | None = None
    line: CentreLine | None = None


@dataclass(frozen=True, slots=True)
class _Step:
    state: State
    label: str
    merge: str


class Document(QObject):
    """Holds the current state and its history; every edit gives a new state and one `changed`.

    `file_changed` tells of another file, name or saved mark, `unread_changed` of fields that hold text which cannot
    be read: they are as good as empty, and whoever judges or saves says so. `circuit_starting` is told just before
    another circuit takes the place of the one at hand.
    """

    changed = Signal()
    file_changed = Signal()
    unread_changed = Signal()
    circuit_starting = Signal()
    #: Another bike has taken the place of the one at hand; all that shows it is told after.
    started = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._opened: BikeFile | None = None
        self._path: Path | None = None
        self._saved = Bike()
        #: The circuits as they were last read or written, by path; None for one that has no file of its own.
        self._circuits: dict[Path | None, CircuitFile] = {}
        self._steps = [_Step(State(Bike(), fitted(Bike())), "", "")]
        self._at = 0
        self._unread: dict[str, tuple[str, str]] = {}

    @property
    def state(self) -> State:
        """Profile and proposed set as they are now."""
        return self._steps[self._at].state

    @property
    def bike(self) -> Bike:
        """The profile as it is now."""
        return self.state.bike

    @property
    def chosen(self) -> DriveSet:
        """The proposed set."""
        return self.state.chosen

    @property
    def circuit(self) -> Circuit | None:
        """The circuit at hand, if there is one."""
        return self.state.circuit

    @property
    def circuit_path(self) -> Path | None:
        """The file that a save of the circuit writes; None if it has none of its own yet."""
        return self.state.circuit_path

    @property
    def line(self) -> CentreLine | None:
        """The line of a track that the circuit at hand was made of, if it was."""
        return self.state.line

    @property
    def circuit_unsaved(self) -> bool:
        """Whether the circuit differs from what its file, or the demo, holds."""
        known = self._circuits.get(self.circuit_path)
        return self.circuit is not None and (known is None or self.circuit != known.circuit)

    @property
    def path(self) -> Path | None:
        """The file that a save writes; None for a bike that has no file of its own yet."""
        return self._path

    @property
    def file_text(self) -> str:
        """What that file held when it was last read or written; empty without a file."""
        return "" if self._opened is None else self._opened.text

    @property
    def notices(self) -> tuple[str, ...]:
        """What was odd in the file, though it could be read."""
        return () if self._opened is None else self._opened.notices

    @property
    def unsaved(self) -> bool:
        """Whether the profile differs from what the file holds."""
        return self.bike != self._saved

    @property
    def undo_label(self) -> str | None:
        """What undo would take back; None if there is nothing."""
        return self._steps[self._at].label if self._at else None

    @property
    def redo_label(self) -> str | None:
        """What redo would do again; None if there is nothing."""
        return self._steps[self._at + 1].label if self._at + 1 < len(self._steps) else None

    def note_unread(self, place: str, label: str, text: str) -> None:
        """A field holds text that cannot be read, or, with an empty text, no longer does."""
        before = dict(self._unread)
        self._unread.pop(place, None)
        if text:
            self._unread[place] = (label, text)
        if self._unread != before:
            self.unread_changed.emit()

    def unread(self, *kinds: str) -> tuple[tuple[str, str], ...]:
        """(label, text) of the fields that cannot be read: all, or those whose place begins with one of these."""
        return tuple(told for place, told in self._unread.items() if place.startswith(kinds or ("",)))

    def edit(self, label: str, bike: Bike, merge: str = "") -> None:
        """Take a changed profile. Parts of the proposed set that were as fitted stay as fitted.

        Edits with the same non-empty `merge` in a row are one step to undo.
        """
        before, after, chosen = fitted(self.bike), fitted(bike), self.chosen
        follow: dict[str, Any] = {
            part: getattr(after, part)
            for part in ("front", "rear", "links", "chain")
            if getattr(chosen, part) == getattr(before, part)
        }
        if _fitted_jobs(bike) > _fitted_jobs(self.bike):
            # The new chain is on.
            follow["new_chain"] = False
        if bike.gearbox != self.bike.gearbox:
            # Proposed gears were those of another gearbox.
            follow["gears"] = None
        self._take(replace(self.state, bike=bike, chosen=replace(chosen, **follow)), label, merge)

    def set_value(self, section: str, key: str, new: Any, label: str) -> None:
        """Edit one field of the profile."""
        self.edit(label, with_value(self.bike, section, key, new), merge=f"{section}.{key}")

    def propose(self, chosen: DriveSet, label: str, merge: str = "") -> None:
        """Take another proposed set."""
        self._take(replace(self.state, chosen=chosen), label, merge)

    def edit_circuit(self, label: str, circuit: Circuit, merge: str = "") -> None:
        """Take a changed circuit."""
        self._take(replace(self.state, circuit=circuit), label, merge)

    def open_circuit(self, opened: CircuitFile, path: Path | None, line: CentreLine | None = None) -> None:
        """Take another circuit that was read, as an edit that can be undone; `path` None if it has no file.

        `line` is that of which it was made, if it was.
        """
        self.circuit_starting.emit()
        self._circuits[path] = opened
        label = tr("Open {name}", name=opened.circuit.name or tr("a circuit"))
        self._take(replace(self.state, circuit=opened.circuit, circuit_path=path, line=line), label, "")

    def take_circuit(self, label: str, circuit: Circuit) -> None:
        """Take another circuit that has no file yet and is to be saved, as an edit that can be undone."""
        self.circuit_starting.emit()
        self._take(replace(self.state, circuit=circuit, circuit_path=None, line=None), label, "")

    def saving_circuit(self, path: Path, *, over_changed: bool = False) -> Callable[[], CircuitFile]:
        """What writes the circuit as it is now, as `saving` does the profile; its answer is for `circuit_saved`."""
        from gearplan.bike.files.circuitfile import save_circuit

        assert self.circuit is not None
        known = None if self.circuit_path is None else self._circuits.get(self.circuit_path)
        return partial(save_circuit, path, self.circuit, known, over=over_changed or path != self.circuit_path)

    def circuit_saved(self, path: Path, held: CircuitFile, begun: Path | None) -> None:
        """The circuit as it was when the save began is in that file; it was then that of `begun`."""
        self._circuits[path] = held
        if begun == self.circuit_path and path != begun:
            self._take(replace(self.state, circuit_path=path), tr("Save the circuit under a name"), "")
        self.file_changed.emit()

    def end_merge(self) -> None:
        """The next edit is a step of its own: a drag or a field is finished."""
        step = self._steps[self._at]
        self._steps[self._at] = replace(step, merge="")

    def undo(self) -> None:
        """One step back."""
        self._move(-1)

    def redo(self) -> None:
        """One step forth again."""
        self._move(1)

    def start(self, opened: BikeFile, path: Path | None) -> None:
        """Begin afresh with a bike that was read, and with the proposal that waits; `path` None if a save must ask."""
        self._opened, self._path, self._saved = opened if path else None, path, opened.bike
        kept = at_start(opened.bike)
        chosen = fitted(opened.bike) if kept is None else plainly(opened.bike, set_of(kept))
        self._steps = [_Step(replace(self.state, bike=opened.bike, chosen=chosen), "", "")]
        self._at = 0
        # The circuit stays, and so does what its fields hold.
        self._unread = {place: told for place, told in self._unread.items() if place.startswith("circuit.")}
        self.started.emit()
        self.changed.emit()
        self.unread_changed.emit()
        self.file_changed.emit()

    def open(self, path: Path) -> None:
        """Read a file; BikeFileError leaves everything as it was."""
        self.start(read_bike(path), path)

    def saving(self, path: Path, *, over_changed: bool = False) -> Callable[[], BikeFile]:
        """What writes the profile as it is now, in whatever thread; its answer is for `saved`.

        OSError or BikeFileError leave the file as it was. `over_changed` overwrites a file that something else has
        changed since it was opened.
        """
        return partial(save_bike, path, self.bike, self._opened, over=over_changed or path != self._path)

    def saved(self, path: Path, held: BikeFile) -> None:
        """The profile as it was when the save began is in that file."""
        self._opened, self._path, self._saved = held, path, held.bike
        self.file_changed.emit()

    def save(self, path: Path, *, over_changed: bool = False) -> None:
        """Write the profile at once; OSError or BikeFileError leave file and document as they were."""
        self.saved(path, self.saving(path, over_changed=over_changed)())

    def _take(self, state: State, label: str, merge: str) -> None:
        state = replace(state, chosen=plainly(state.bike, state.chosen))
        if state == self.state:
            return
        was_unsaved = self.unsaved
        step = _Step(state, label, merge)
        if merge and merge == self._steps[self._at].merge:
            self._steps[self._at :] = [step]
        else:
            self._steps[self._at + 1 :] = [step]
            del self._steps[: max(0, len(self._steps) - _KEPT_STEPS)]
            self._at = len(self._steps) - 1
        self._tell(was_unsaved)

    def _move(self, by: int) -> None:
        if not 0 <= self._at + by < len(self._steps):
            return
        was_unsaved = self.unsaved
        self.end_merge()
        self._at += by
        self.end_merge()
        self._tell(was_unsaved)

    def _tell(self, was_unsaved: bool) -> None:
        self.changed.emit()
        if was_unsaved != self.unsaved:
            self.file_changed.emit()


def _fitted_jobs(bike: Bike) -> int:
    return sum(job.state != "open" for job in bike.jobs)
