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


def test_what_a_killed_process_left_goes_with_a_later_save(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.bike.toml"
    path.write_bytes(b"old")

    class Killed(BaseException):
        pass

    def killed(*_: object) -> None:
        raise Killed

    with monkeypatch.context() as patched:
        patched.setattr(os, "fsync", killed)
        patched.setattr(Path, "unlink", killed)
        with pytest.raises(Killed):
            replace_file(path, b"new")
    [left] = [other for other in tmp_path.iterdir() if other != path]
    replace_file(path, b"newer")
    # It may be another process's, which still writes.
    assert left.exists()
    other = tmp_path / ".notes.of-mine"
    other.write_bytes(b"")
    for old in (left, other):
        os.utime(old, (0, 0))
    replace_file(path, b"newest")
    assert sorted(tmp_path.iterdir()) == sorted([path, other])


def test_a_name_as_long_as_may_be_is_written(tmp_path: Path) -> None:
    path = tmp_path / ("\U0001f3cd" * 63)
    replace_file(path, b"new")
    assert path.read_bytes() == b"new"
