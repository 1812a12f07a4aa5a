"""The list of bike files: what it holds, how it is found and sorted, and that it never loses or keeps too much."""

from __future__ import annotations

import itertools
import os
import re
import sqlite3
import stat
import unicodedata
from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.demo import demo_bike
from gearplan.bike.files.bikefile import text_with
from gearplan.bike.profile import Bike, Owner
from gearplan.bike.work.job import Job
from gearplan.bike.work.proposal import Proposal
from gearplan.shelf import looking
from gearplan.shelf.entry import Listed, listed, of_bike
from gearplan.shelf.index import Index, Read, in_memory, opened
from gearplan.shelf.looking import look
from gearplan.shelf.order import COLUMNS, cells, in_order

DAY = date(2026, 5, 31)
ADA = Bike("Brindle 650", owner=Owner("Ada Thornbury", "01632 960142", "XQ 4711", "ZZ9PLRL0000012345", "blue"))
BO = Bike("Wren 125", owner=Owner("Bo Lärkspur", "bo@example.org", "AB-12", None, "red, top box"))


@pytest.fixture
def index() -> Iterator[Index]:
    made = in_memory()
    yield made
    made.close()


def put(folder: Path, name: str, bike: Bike, *, age: float = 60.0) -> Path:
    """A bike file that was written so many seconds ago."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}.bike.toml"
    path.write_text(text_with(bike, ""), encoding="utf-8")
    aged(path, age)
    return path


def aged(path: Path, age: float) -> None:
    now = path.stat().st_ctime - age
    os.utime(path, (now, now))


def names(index: Index, words: str = "") -> list[str]:
    found = index.matching(words)
    return sorted(entry.name for entry in index.entries() if found is None or str(entry.path) in found)


# What is found.


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("", ["Brindle 650", "Wren 125"]),
        ("ada", ["Brindle 650"]),
        ("THORN", ["Brindle 650"]),
        ("ada brindle", ["Brindle 650"]),
        ("ada wren", []),
        ("XQ 4711", ["Brindle 650"]),
        ("xq4711", ["Brindle 650"]),
        ("XQ-4711", ["Brindle 650"]),
        ("4711", ["Brindle 650"]),
        ("ab12", ["Wren 125"]),
        ("ab 12", ["Wren 125"]),
        ("01632960142", ["Brindle 650"]),
        ("960142", ["Brindle 650"]),
        ("larkspur", ["Wren 125"]),
        ("la\u0308rk", ["Wren 125"]),
        ("zz9plrl", ["Brindle 650"]),
        ("top", ["Wren 125"]),
        ("second", ["Wren 125"]),
        ("orkshire", []),
        ('"', ["Brindle 650", "Wren 125"]),
        ('ada" OR "bo', []),
        ("NOT ada", []),
        ("- *", ["Brindle 650", "Wren 125"]),
    ],
)
def test_a_bike_is_found_by_the_beginning_of_any_word(
    index: Index, tmp_path: Path, words: str, found: list[str]
) -> None:
    put(tmp_path, "first", ADA)
    put(tmp_path / "2026", "second", BO)
    look(index, [tmp_path], DAY)
    assert names(index, words) == found


def test_the_last_job_its_parts_and_the_chain_are_on_the_list(index: Index, tmp_path: Path) -> None:
    old = Job(date="2024-03-01", state="done", chain="525", front=15, rear=46, new_chain="yes", odometer_km=10000.0)
    new = replace(old, date="2026-02-01", chain="520", old_chain="525", odometer_km=20000.0, note="Squeaks when cold")
    bike = replace(ADA, jobs=(new, old), wear=replace(ADA.wear, odometer_km=21000.0))
    bike = replace(bike, service=replace(bike.service, chain_due_km=3000.0))
    entry = of_bike(tmp_path / "a.bike.toml", bike, DAY)
    assert (entry.job_date, entry.due_km, entry.left_km, entry.chain) == ("2026-02-01", 23000.0, 2000.0, "fits")
    assert cells(entry)[3].startswith("2026-02-01: 520 conversion")
    assert cells(entry)[4].startswith("at 23")
    later = replace(bike, wear=replace(bike.wear, odometer_km=23000.0))
    assert cells(of_bike(entry.path, later, DAY))[4] == "Now"
    put(tmp_path, "a", bike)
    look(index, [tmp_path], DAY)
    assert names(index, "squeaks") == ["Brindle 650"]


def test_open_proposals_are_on_the_list_and_found(index: Index, tmp_path: Path) -> None:
    offered = Proposal(name="Touring", date="2026-02-01", state="offered", front=16, rear=45, quote="2026-017")
    agreed, past = replace(offered, date="2026-02-03", state="agreed"), replace(offered, date="2026-03-01")
    bike = replace(ADA, proposals=(offered, agreed, replace(past, state="declined"), replace(past, state="fitted")))
    entry = of_bike(tmp_path / "a.bike.toml", bike, DAY)
    assert cells(entry)[COLUMNS.index("Open proposals")] == "2026-02-03: 1 agreed, 1 offered"
    assert cells(of_bike(entry.path, replace(ADA, proposals=(past,)), DAY))[5] == "2026-03-01: 1 offered"
    assert cells(of_bike(entry.path, replace(ADA, proposals=()), DAY))[5] == ""
    put(tmp_path, "a", bike)
    look(index, [tmp_path], DAY)
    assert names(index, "touring") == names(index, "2026-017") == ["Brindle 650"]


#: An independent reading of what a word is: letters and digits, in any case, accents apart.
def tokens(text: str) -> list[str]:
    plain = "".join(c for c in unicodedata.normalize("NFKD", text.lower()) if not unicodedata.combining(c))
    return re.findall(r"[a-z0-9äöü]+", plain)


@settings(max_examples=60)
@given(
    st.lists(st.text("aäbc19 .-_\"'*:()", max_size=12), min_size=1, max_size=6),
    st.text("aäbc19 .-\"'*:()", max_size=6),
)
def test_search_agrees_with_a_search_by_hand(texts: list[str], words: str) -> None:
    index = in_memory()
    entries = [Listed(Path(f"/bikes/{number}"), words=text) for number, text in enumerate(texts)]
    index.take(Read(entry, b"") for entry in entries)

    def found(text: str) -> bool:
        held = tokens(text)
        for word in words.split():
            asked = tokens(word)
            if not asked:
                continue
            runs = [held[start : start + len(asked)] for start in range(len(held))]
            if not any(
                run[:-1] == asked[:-1] and len(run) == len(asked) and run[-1].startswith(asked[-1]) for run in runs
            ):
                return False
        return True

    matching = index.matching(words)
    listed_now = {str(entry.path) for entry in entries} if matching is None else matching
    assert listed_now == {str(entry.path) for entry in entries if found(entry.words)}
    index.close()


# Files come, change and go.


def reads(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """The files that are read from now on."""
    read: list[Path] = []

    def counted(path: Path, today: date) -> Listed:
        read.append(path)
        return listed(path, today)

    monkeypatch.setattr(looking, "listed", counted)
    return read


def test_only_what_changed_is_read_again(index: Index, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    files = [put(tmp_path, str(number), replace(ADA, name=f"Bike {number}")) for number in range(5)]
    read = reads(monkeypatch)
    assert look(index, [tmp_path], DAY).changed == 5
    assert sorted(read) == files
    read.clear()
    assert look(index, [tmp_path], DAY).changed == 0
    assert read == []
    put(tmp_path, "2", replace(BO, name="Other"), age=30)
    files[3].unlink()
    put(tmp_path / "new", "5", BO)
    assert look(index, [tmp_path], DAY).changed == 3
    assert len(read) == 2
    assert names(index) == ["Bike 0", "Bike 1", "Bike 4", "Other", "Wren 125"]
    assert names(index, "thornbury") == ["Bike 0", "Bike 1", "Bike 4"]


def test_a_change_within_the_tick_of_the_clock_and_of_the_same_size_is_noticed(index: Index, tmp_path: Path) -> None:
    path = put(tmp_path, "a", replace(ADA, name="Brindle 650"), age=0)
    before = path.stat()
    look(index, [tmp_path], DAY)
    path.write_text(path.read_text().replace("Brindle 650", "Brindle 651"))
    os.utime(path, ns=(before.st_mtime_ns, before.st_mtime_ns))
    look(index, [tmp_path], DAY)
    assert names(index) == ["Brindle 651"]


def test_a_file_that_cannot_be_read_is_listed_with_the_reason_and_comes_back(index: Index, tmp_path: Path) -> None:
    path = put(tmp_path, "a", ADA)
    path.write_text("= broken")
    aged(path, 50)
    look(index, [tmp_path], DAY)
    (entry,) = index.entries()
    assert "not a readable bike file" in entry.fault
    assert cells(entry)[0] == "Cannot be read"
    assert cells(entry)[-1] == "a.bike.toml"
    put(tmp_path, "a", ADA, age=40)
    look(index, [tmp_path], DAY)
    assert names(index, "a.bike") == ["Brindle 650"]


def test_other_files_links_and_names_in_no_known_letters(
    index: Index, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Path] = []
    stamp = looking._stamp
    monkeypatch.setattr(looking, "_stamp", lambda path: asked.append(path) or stamp(path))
    for number in range(300):
        (tmp_path / f"photo {number}.jpg").touch()
    (tmp_path / "a folder.bike.toml").mkdir()
    odd = Path(os.fsdecode(os.fsencode(tmp_path) + b"/\xff\xfe.bike.toml"))
    odd.write_text(text_with(ADA, ""))
    aged(odd, 60)
    (tmp_path / "loop").symlink_to(tmp_path, target_is_directory=True)
    (tmp_path / "nowhere.bike.toml").symlink_to(tmp_path / "missing")
    look(index, [tmp_path], DAY)
    assert [entry.path for entry in index.entries()] == [odd]
    # Of what is no bike file nothing but the name is looked at.
    assert sorted(asked) == sorted([odd, tmp_path / "nowhere.bike.toml"])
    assert cells(index.entries()[0])[-1] == "??.bike.toml"
    assert index.matching("\ud800 thornbury") == {str(odd)}


def test_a_folder_that_goes_away_stays_listed_until_it_is_back(index: Index, tmp_path: Path) -> None:
    drive, local = tmp_path / "drive", tmp_path / "local"
    put(drive, "a", ADA)
    put(local, "b", BO)
    look(index, [drive, local], DAY)
    drive.rename(tmp_path / "away")
    looked = look(index, [drive, local], DAY)
    assert "cannot be reached (No such file or directory)" in looked.told[0]
    assert looked.changed == 0
    assert names(index) == ["Brindle 650", "Wren 125"]
    (tmp_path / "away").rename(drive)
    assert look(index, [drive, local], DAY).told == ()
    assert names(index) == ["Brindle 650", "Wren 125"]


def test_an_empty_place_where_a_drive_was_connected_takes_nothing_out(
    index: Index, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drive = tmp_path / "drive"
    path = put(drive, "a", ADA)
    look(index, [drive], DAY)
    device = index.device(drive)
    assert device == drive.stat().st_dev
    path.unlink()
    index.saw(drive, device + 1)
    assert "on another drive than before" in look(index, [drive], DAY).told[0]
    assert names(index) == ["Brindle 650"]
    # On the same drive the file has been deleted, and that is that.
    index.saw(drive, device)
    look(index, [drive], DAY)
    assert names(index) == []


def test_a_folder_within_that_cannot_be_searched_keeps_its_bikes(
    index: Index, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(tmp_path / "open", "a", ADA)
    put(tmp_path / "shut", "b", BO)
    look(index, [tmp_path], DAY)
    scan = os.scandir

    def refusing(place: str) -> object:
        if Path(place).name == "shut":
            raise PermissionError(13, "Permission denied", place)
        return scan(place)

    monkeypatch.setattr(os, "scandir", refusing)
    looked = look(index, [tmp_path], DAY)
    assert "shut: this folder cannot be searched: Permission denied" in looked.told[0]
    assert names(index) == ["Brindle 650", "Wren 125"]


def test_a_folder_no_longer_chosen_leaves_no_trace(tmp_path: Path) -> None:
    file, one, two = tmp_path / "state" / "bikes.sqlite", tmp_path / "one", tmp_path / "two"
    put(one, "a", ADA)
    put(two, "b", BO)
    index = opened(file)
    look(index, [one, two], DAY)
    assert b"thornbury" in file.read_bytes().lower()
    assert look(index, [two], DAY).changed == 1
    assert names(index) == ["Wren 125"]
    index.close()
    left = file.read_bytes().lower()
    assert b"wren" in left
    for private in (b"thornbury", b"thorn", b"4711", b"960142", b"a.bike.toml"):
        assert private not in left


def test_a_folder_is_not_taken_for_one_whose_name_goes_on(index: Index, tmp_path: Path) -> None:
    put(tmp_path / "shop", "a", ADA)
    put(tmp_path / "shop 2", "b", BO)
    put(tmp_path / "shop" / "old", "c", replace(BO, name="Wren 200"))
    look(index, [tmp_path / "shop", tmp_path / "shop 2", tmp_path / "shop" / "old"], DAY)
    assert names(index) == ["Brindle 650", "Wren 125", "Wren 200"]
    assert sorted(entry.name for entry in index.entries([tmp_path / "shop"])) == ["Brindle 650", "Wren 200"]
    assert index.entries([]) == []
    look(index, [tmp_path / "shop" / "old"], DAY)
    assert names(index) == ["Wren 200"]
    look(index, [], DAY)
    assert names(index) == []


def test_an_owner_who_is_forgotten_is_forgotten(tmp_path: Path) -> None:
    file = tmp_path / "state" / "bikes.sqlite"
    put(tmp_path / "bikes", "a", ADA)
    index = opened(file)
    look(index, [tmp_path / "bikes"], DAY)
    put(tmp_path / "bikes", "a", replace(ADA, owner=Owner()), age=30)
    look(index, [tmp_path / "bikes"], DAY)
    assert names(index) == ["Brindle 650"]
    index.close()
    left = file.read_bytes().lower()
    assert b"brindle" in left
    for private in (b"thorn", b"4711", b"960142", b"zz9"):
        assert private not in left


def test_looking_can_be_stopped_and_taken_up_again(
    index: Index, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(looking, "_AT_ONCE", 4)
    for number in range(20):
        put(tmp_path, f"{number:02}", ADA)
    told: list[tuple[int, int]] = []

    def go_on(done: int, of: int) -> bool:
        told.append((done, of))
        return (done, of) != (10, 20)

    assert not look(index, [tmp_path], DAY, go_on).whole
    assert len(index.entries()) == 10
    read = reads(monkeypatch)
    assert look(index, [tmp_path], DAY).whole
    assert len(read) == 10
    assert [done for done, of in told if of] == sorted(done for done, of in told if of)
    # While still comparing nothing has been taken out.
    assert not look(index, [tmp_path], DAY, lambda _done, _of: False).whole
    assert len(index.entries()) == 20


# The file of the index.


def test_the_index_is_readable_by_its_owner_alone_and_outlives_the_program(tmp_path: Path) -> None:
    file = tmp_path / "state" / "bikes.sqlite"
    put(tmp_path / "bikes", "a", ADA)
    before = os.umask(0)
    try:
        index = opened(file)
        look(index, [tmp_path / "bikes"], DAY)
        index.close()
    finally:
        os.umask(before)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    file.chmod(0o644)
    index = opened(file)
    assert names(index) == ["Brindle 650"]
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    index.close()


@pytest.mark.parametrize(
    "damage", ["missing", "no database", "cut short", "a page of noise", "another version", "empty"]
)
def test_a_missing_or_broken_index_is_made_anew(tmp_path: Path, damage: str) -> None:
    file = tmp_path / "state" / "bikes.sqlite"
    for number in range(30):
        put(tmp_path / "bikes", str(number), replace(ADA, name=f"Bike {number:02}"))
    index = opened(file)
    look(index, [tmp_path / "bikes"], DAY)
    index.close()
    whole = file.read_bytes()
    if damage == "missing":
        file.unlink()
    elif damage == "no database":
        file.write_bytes(b"shopping list" * 1000)
    elif damage == "cut short":
        file.write_bytes(whole[: len(whole) // 2])
    elif damage == "a page of noise":
        file.write_bytes(whole[:4096] + b"\x5a" * 8192 + whole[12288:])
    elif damage == "empty":
        file.write_bytes(b"")
    else:
        base = sqlite3.connect(file)
        base.execute("PRAGMA user_version = 77")
        base.close()
    index = opened(file, check=True)
    look(index, [tmp_path / "bikes"], DAY)
    assert names(index, "thornbury") == [f"Bike {number:02}" for number in range(30)]
    assert names(index) == [f"Bike {number:02}" for number in range(30)]
    index.close()


def test_two_windows_keep_one_index(tmp_path: Path) -> None:
    file = tmp_path / "state" / "bikes.sqlite"
    first, second = opened(file), opened(file)
    put(tmp_path / "bikes", "a", ADA)
    look(first, [tmp_path / "bikes"], DAY)
    assert names(second) == ["Brindle 650"]
    put(tmp_path / "bikes", "b", BO)
    look(second, [tmp_path / "bikes"], DAY)
    look(first, [tmp_path / "bikes"], DAY)
    assert names(first) == ["Brindle 650", "Wren 125"]
    first.close()
    second.close()


# The order.


def test_every_column_sorts_both_ways_with_blanks_last() -> None:
    entries = [
        Listed(Path("/a"), "Wren 2", "bo", "B 1", "x", "2026-01-01", "fits", 9000.0, 500.0, "1 agreed", "2026-02-02"),
        Listed(Path("/b"), "wren 10", "Ada", "", "x", "2026-03-01", "check", 4000.0, None, "2 offered"),
        Listed(Path("/c"), "Brindle", "", "A 2", "", "", "", None, None),
        Listed(
            Path("/d"), "Étoile", "Cy", "A 10", "x", "2025-01-01", "fits", 8000.0, 3000.0, "1 offered", "2026-03-01"
        ),
    ]
    wanted = {
        "Motorcycle": ("cdab", "badc"),
        "Owner": ("badc", "dabc"),
        "Registration": ("cdab", "adcb"),
        "Last job": ("badc", "dabc"),
        "Chain due": ("badc", "dabc"),
        "Open proposals": ("dabc", "badc"),
        "File": ("abcd", "dcba"),
    }
    assert tuple(wanted) == COLUMNS
    for column, (forwards, backwards) in wanted.items():
        for mixed in itertools.permutations(entries):
            assert "".join(entry.path.name for entry in in_order(mixed, column)) == forwards, column
            assert "".join(e.path.name for e in in_order(mixed, column, backwards=True)) == backwards, column


def test_the_demo_bike_has_a_line() -> None:
    line = cells(of_bike(Path("/bikes/demo.bike.toml"), demo_bike().bike, DAY))
    assert len(line) == len(COLUMNS)
    assert line[0] == "Brindle 650"
