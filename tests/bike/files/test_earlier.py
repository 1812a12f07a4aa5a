"""The version before the last save: kept privately, once for each file, and never in the way of a save."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from gearplan.bike.files import earlier
from gearplan.bike.files.ownfolders import state_folder


def test_what_is_replaced_is_kept_for_its_owner_alone(tmp_path: Path) -> None:
    path = tmp_path / "a.bike.toml"
    earlier.replace_keeping(path, b"one")
    assert earlier.earlier(path) is None
    earlier.replace_keeping(path, b"two")
    assert (path.read_bytes(), earlier.earlier(path)) == (b"two", b"one")
    # The same again is no other version.
    earlier.replace_keeping(path, b"two")
    assert earlier.earlier(path) == b"one"
    earlier.replace_keeping(path, b"three")
    assert earlier.earlier(path) == b"two"
    folder = state_folder() / "earlier"
    (kept,) = folder.iterdir()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert kept.name.endswith(".bike.toml")
    assert sorted(tmp_path.iterdir()) == [path]


def test_a_file_and_a_link_to_it_have_one_earlier_version(tmp_path: Path) -> None:
    path, link = tmp_path / "a.bike.toml", tmp_path / "b.bike.toml"
    path.write_bytes(b"one")
    link.symlink_to(path)
    earlier.replace_keeping(link, b"two")
    assert earlier.earlier(path) == earlier.earlier(link) == b"one"


def test_the_oldest_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(earlier, "_MOST_FILES", 2)
    paths = [tmp_path / f"{name}.bike.toml" for name in "abc"]
    for when, path in enumerate(paths):
        path.write_bytes(b"one")
        earlier.replace_keeping(path, b"two")
        os.utime(earlier._place(path), (when, when))
    paths[2].write_bytes(b"three")
    earlier.replace_keeping(paths[2], b"four")
    assert [earlier.earlier(path) for path in paths] == [None, b"one", b"three"]


def test_a_save_goes_on_where_nothing_can_be_kept(tmp_path: Path) -> None:
    path = tmp_path / "a.bike.toml"
    path.write_bytes(b"one")
    state_folder().mkdir(parents=True)
    (state_folder() / "earlier").write_text("a file, no folder")
    earlier.replace_keeping(path, b"two")
    assert path.read_bytes() == b"two"
    assert earlier.earlier(path) is None
