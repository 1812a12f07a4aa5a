"""The text of a recorded ride, half a megabyte at a time, whatever it is encoded in; with progress and cancel."""

from __future__ import annotations

import codecs
from collections.abc import Callable, Iterator
from pathlib import Path

from gearplan.bike.files.ordinary import open_file
from gearplan.language import tr
from gearplan.ridelog.log import LogError, ReadingCancelled

#: Told the share of the file that is read, and the rows.
Progress = Callable[[float, int], None]
Cancelled = Callable[[], bool]

#: What would be right instead of a file that is no ride.
RIGHT = tr("Give a CSV file with headed columns such as time_s,rpm,speed_kmh.")

_PIECE = 250_000
_HEAD = 100_000
#: No row has so many signs.
_LONG = 2_000_000
#: Encodings with which a text that is not UTF-8 may have been written, the commonest first.
_OLDER = ("cp1252", "mac_roman", "cp932")
#: Of two bytes of a sign one is zero in so much of a text in UTF-16: digits and their separators are.
_ZEROS = 0.6


def on_the_way(share: float, rows: int, progress: Progress | None, cancelled: Cancelled | None) -> None:
    """Tell how far the reading is; ReadingCancelled if nobody wants it any more."""
    if cancelled is not None and cancelled():
        raise ReadingCancelled
    if progress is not None:
        progress(min(share, 1.0), rows)


def size_of(path: Path) -> int:
    """The bytes of a file; LogError if there is none."""
    try:
        return path.stat().st_size
    except OSError as failed:
        raise LogError(f"{failed.strerror}.") from failed


def raw_pieces(path: Path) -> Iterator[bytes]:
    """The file half a megabyte at a time; LogError if it cannot be read."""
    try:
        with open_file(path) as file:
            while raw := file.read(_PIECE):
                yield raw
    except OSError as failed:
        raise LogError(f"{failed.strerror}.") from failed


def beginning(path: Path) -> dict[str, str]:
    """The first lines of a file as text, by each encoding that it may be in; LogError if it is no text."""
    try:
        with open_file(path) as file:
            raw = file.read(_HEAD)
            more = bool(file.read(1))
    except OSError as failed:
        raise LogError(f"{failed.strerror}.") from failed
    if not raw.strip():
        raise LogError(tr("The file is empty. {right}", right=RIGHT))
    wide = _wide(raw)
    if wide is None and b"\0" in raw:
        raise LogError(tr("This is not text but a binary file. {right}", right=RIGHT))
    found = {}
    for encoding in (wide,) if wide else ("utf-8", *_OLDER):
        try:
            # A sign that the end cuts through is of no account.
            text = codecs.getincrementaldecoder(encoding)("strict").decode(raw)
        except UnicodeDecodeError:
            continue
        text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
        cut = text.rstrip("\n").rfind("\n") if more else -1
        found[encoding] = text if cut < 0 else text[:cut]
        if encoding == "utf-8":
            break
    if not found:
        raise LogError(tr("This is not text but a binary file. {right}", right=RIGHT))
    return found


def _wide(raw: bytes) -> str | None:
    """The kind of UTF-16 that a text is in, by its mark or by where its zeros stand; None for another encoding."""
    if raw[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
        return "utf-16"
    low, high = raw[0::2], raw[1::2]
    for encoding, zeros, signs in (("utf-16-le", high, low), ("utf-16-be", low, high)):
        if zeros.count(0) > _ZEROS * len(zeros) and not signs.count(0):
            return encoding
    return None


def line_pieces(path: Path, encoding: str, first: int, *, comma: bool) -> Iterator[tuple[list[str], int]]:
    """The lines from the line `first` (from 1) on, some at a time, with the bytes that were read for them.

    Decimal commas become points where `comma` says so. LogError for what is no text.
    """
    skipped, rest, mark = first - 1, b"", codecs.BOM_UTF8
    # Signs of one byte that are alike in all: the rows are parted before they are decoded.
    wide = codecs.getincrementaldecoder(encoding)("replace") if encoding.startswith("utf-16") else None
    narrow = "utf-8" if wide is not None else encoding
    for raw in _with_an_end(raw_pieces(path)):
        text = raw if wide is None else wide.decode(raw, not raw).encode()
        if b"\0" in text:
            raise LogError(tr("This is not text throughout: it holds binary data. {right}", right=RIGHT))
        data = (rest + text.removeprefix(mark)).replace(b"\r\n", b"\n")
        mark = b""
        # A lone return may be half of a line's end that the next piece completes.
        hold = len(data) - 1 if raw and data.endswith(b"\r") else len(data)
        data, kept_back = data[:hold].replace(b"\r", b"\n"), data[hold:]
        end = data.rfind(b"\n") + 1 if raw else len(data)
        if raw and end == 0 and len(data) >= _LONG:
            raise LogError(
                tr("There is a row of more than {data} million signs. {right}", data=len(data) // 1000000, right=RIGHT)
            )
        rest, data = data[end:] + kept_back, data[:end]
        # The signs between the cells are others than commas, or the layout would not say so.
        lines = (data.replace(b",", b".") if comma else data).decode(narrow, "replace").split("\n")
        if lines and not lines[-1]:
            lines.pop()
        left_out = min(skipped, len(lines))
        skipped -= left_out
        yield lines[left_out:], len(raw)


def _with_an_end(pieces: Iterator[bytes]) -> Iterator[bytes]:
    """The pieces, and an empty one after the last."""
    yield from pieces
    yield b""
