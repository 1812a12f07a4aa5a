"""Two windows, or a window and a command, save to one file at the same moment: the second is told."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gearplan.bike.book import BookEntry
from gearplan.bike.demo import demo_bike
from gearplan.bike.files import lock
from gearplan.bike.files.atomic import replace_file
from gearplan.bike.files.bikefile import ChangedOnDisk, read_bike, save_bike
from gearplan.bike.files.bookfile import BookChangedOnDisk, added, read_book, save_book
from gearplan.bike.files.circuitfile import CircuitChangedOnDisk, demo_circuit, read_circuit, save_circuit

posix = pytest.mark.skipif(os.name != "posix", reason="files that are held are replaced on POSIX alone")


def both(first: Callable[[], object], second: Callable[[], object], monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What becomes of two saves, of which the second begins while the first writes; the first goes on when the second
    has come as far as it can."""
    writing, at_lock = threading.Event(), threading.Event()
    told: dict[str, str] = {}
    fsync, wait_for = os.fsync, lock.wait_for

    def held(handle: int) -> None:
        if threading.current_thread().name == "first" and not writing.is_set():
            writing.set()
            at_lock.wait()
        fsync(handle)

    def waiting(file: object) -> None:
        if threading.current_thread().name == "second":
            at_lock.set()
        wait_for(file)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "fsync", held)
    monkeypatch.setattr(lock, "wait_for", waiting)

    def run(name: str, save: Callable[[], object]) -> None:
        try:
            save()
            told[name] = "saved"
        except ValueError as refused:
            told[name] = type(refused).__name__
        finally:
            if name == "second":
                # Without a lock it would be through by now, and the first would go over it.
                at_lock.set()

    threads = [threading.Thread(target=run, args=each, name=each[0]) for each in (("first", first), ("second", second))]
    threads[0].start()
    writing.wait()
    threads[1].start()
    for thread in threads:
        thread.join()
    return [told["first"], told["second"]]


@posix
def test_of_two_windows_on_one_bike_the_second_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.bike.toml"
    bike = demo_bike().bike
    opened = save_bike(path, bike, None)
    one, other = replace(bike, name="one"), replace(bike, name="other")
    found = both(lambda: save_bike(path, one, opened), lambda: save_bike(path, other, opened), monkeypatch)
    assert found == ["saved", ChangedOnDisk.__name__]
    assert read_bike(path).bike == one


@posix
def test_so_it_is_with_circuits_and_books(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.circuit.toml"
    circuit = demo_circuit().circuit
    opened = save_circuit(path, circuit, None)
    one, other = replace(circuit, name="one"), replace(circuit, name="other")
    found = both(lambda: save_circuit(path, one, opened), lambda: save_circuit(path, other, opened), monkeypatch)
    assert found == ["saved", CircuitChangedOnDisk.__name__]
    assert read_circuit(path).circuit == one
    path = tmp_path / "a.book.toml"
    replace_file(path, b"format = 1\n")
    book = read_book(path)
    first, second = added(book, BookEntry(circuit="one")), added(book, BookEntry(circuit="other"))
    found = both(lambda: save_book(path, first, book), lambda: save_book(path, second, book), monkeypatch)
    assert found == ["saved", BookChangedOnDisk.__name__]
    assert read_book(path).entries == first.entries


@posix
def test_a_file_system_without_locks_is_taken_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def none(_file: object) -> None:
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(lock, "wait_for", none)
    path = tmp_path / "a.bike.toml"
    opened = save_bike(path, demo_bike().bike, None)
    save_bike(path, replace(opened.bike, name="again"), opened)
    assert read_bike(path).bike.name == "again"
