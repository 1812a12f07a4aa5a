"""A file is either the old one or the new one, whatever happens."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from gearplan.bike.files.atomic import replace_file


def test_a_new_file_gets_the_usual_mode(tmp_path: Path) -> None:
    before = os.umask(0o027)
    try:
        replace_file(tmp_path / "new", b"one")
    finally:
        os.umask(before)
    assert (tmp_path / "new").read_bytes() == b"one"
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o640


def test_an_existing_file_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "kept"
    path.write_bytes(b"old")
    path.chmod(0o604)
    replace_file(path, b"new")
    assert path.read_bytes() == b"new"
    assert path.stat().st_mode & 0o777 == 0o604


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    target, link = tmp_path / "far" / "target", tmp_path / "link"
    target.write_bytes(b"old")
    link.symlink_to(target)
    replace_file(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "bike"
    path.write_bytes(b"old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    if step == "fsync":
        monkeypatch.setattr(os, "fsync", full)
    else:
        monkeypatch.setattr(Path, "replace", full)
    with pytest.raises(OSError, match="No space left"):
        replace_file(path, b"new")
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_missing_folder_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        replace_file(tmp_path / "no" / "file", b"x")
