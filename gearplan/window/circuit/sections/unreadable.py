"""Texts in cells that cannot be read: they stay where they were typed, wherever their section goes, and are told."""

from __future__ import annotations

from gearplan.bike.circuit import Circuit, label_of
from gearplan.bike.sections.cells import stands_empty
from gearplan.language import tr
from gearplan.window.document.document import Document

#: Texts by column, by the section's index.
_Texts = dict[int, dict[str, str]]
#: As many circuits as have their texts remembered: the steps that can be undone.
_MOST = 500


class UnreadableCells:
    """Holds the texts by section and column; the document's list of what cannot be read has them too.

    Each circuit has its own, so that a step back or forth brings them back too.
    """

    def __init__(self, document: Document) -> None:
        self._document = document
        self._texts: _Texts = {}
        self._kept: dict[Circuit, _Texts] = {}
        self._count = 0
        #: The places in the document's list that stand for these.
        self._told: set[str] = set()

    def text(self, index: int, key: str) -> str:
        """The text in a cell that cannot be read; empty if there is none."""
        return self._texts.get(index, {}).get(key, "")

    def of(self, index: int) -> dict[str, str]:
        """All of a section, by column."""
        return self._texts.get(index, {})

    def put(self, index: int, key: str, text: str) -> None:
        """A cell holds a text that cannot be read, or, with an empty one, no longer does."""
        texts = {**self.of(index), key: text}
        self._texts = {**self._texts, index: {each: held for each, held in texts.items() if held}}

    def move(self, places: list[int]) -> None:
        """Sections stand elsewhere: where each of before is now, −1 for one that is gone."""
        self._texts = {places[index]: texts for index, texts in self._texts.items() if places[index] >= 0}

    def keep(self, circuit: Circuit) -> None:
        """These are the texts of a circuit that is about to be taken."""
        self._kept.pop(circuit, None)
        self._kept[circuit] = self._texts
        if len(self._kept) > _MOST:
            del self._kept[next(iter(self._kept))]
        self._count = len(circuit.sections)

    def follow(self, circuit: Circuit) -> None:
        """Another circuit is at hand: its texts, or, where it was changed elsewhere, those that still stand."""
        if circuit in self._kept:
            self._texts = self._kept[circuit]
        elif len(circuit.sections) != self._count:
            self._texts = {}
        else:
            self._texts = {
                index: {key: text for key, text in texts.items() if stands_empty(circuit.sections[index], key)}
                for index, texts in self._texts.items()
            }
        self.keep(circuit)
        self._tell()

    def forget(self) -> None:
        """Another circuit's file: nothing of the last one stays."""
        self._texts, self._kept = {}, {}
        self._tell()

    def _tell(self) -> None:
        """Bring the document's list to what is held here."""
        told = {
            f"circuit.{index}.{key}": (tr("Section {index}, {label_of}", index=index + 1, label_of=label_of(key)), text)
            for index, texts in self._texts.items()
            for key, text in texts.items()
        }
        gone, self._told = self._told - told.keys(), set(told)
        for place in gone:
            self._document.note_unread(place, "", "")
        for place, (label, text) in told.items():
            self._document.note_unread(place, label, text)
