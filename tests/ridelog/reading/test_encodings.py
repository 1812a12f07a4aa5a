"""Text in whatever encoding: the same ride, the same headings."""

from __future__ import annotations

import codecs
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.text.units import DEGREE, KMH, RPM
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.csvfile import look, read_csv
from gearplan.ridelog.reading.opening import read_log
from gearplan.ridelog.reading.pieces import beginning, line_pieces

_HEADS = "Zeit [s];Régime moteur (1/min);Geschw. [km/h];Höhe [m];Schräglage [°]"
_ROWS = "\n".join(f"{i / 10:.1f};{3000 + i};{50 + i / 10:.1f};412,5;{-20 + i}" for i in range(60)).replace(".", ",")
_MARKED = {"utf-16-le": codecs.BOM_UTF16_LE, "utf-16-be": codecs.BOM_UTF16_BE, "utf-8": codecs.BOM_UTF8}


@pytest.mark.parametrize("marked", [False, True])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("encoding", ["utf-8", "cp1252", "mac_roman", "utf-16-le", "utf-16-be"])
def test_the_same_ride_in_each_encoding(tmp_path: Path, encoding: str, end: str, marked: bool) -> None:
    text = f"{_HEADS}\n{_ROWS}\n".replace("\n", end)
    path = tmp_path / "ride.csv"
    path.write_bytes((_MARKED.get(encoding, b"") if marked else b"") + text.encode(encoding))
    layout = look(path)
    assert [column.heading for column in layout.columns] == _HEADS.split(";")
    assert layout.sure
    log = read_csv(path)
    assert log.notes == ()
    assert log.engine is not None
    assert log.road is not None
    assert log.altitude is not None
    assert log.lean is not None
    assert (log.engine / RPM).tolist() == pytest.approx([3000 + i for i in range(60)])
    assert (log.road / KMH).tolist() == pytest.approx([50 + i / 10 for i in range(60)])
    assert (log.lean / DEGREE).tolist() == pytest.approx([-20 + i for i in range(60)])
    assert log.altitude[0] == 412.5


def test_a_mark_before_a_first_row_of_data_is_no_part_of_it(tmp_path: Path) -> None:
    path = tmp_path / "ride.csv"
    path.write_bytes(codecs.BOM_UTF8 + _ROWS.encode())
    assert read_csv(path).used_rows == 60


@pytest.mark.parametrize("encoding", ["cp932", "utf-8", "utf-16-le"])
def test_headings_in_japanese_are_read_as_they_are(tmp_path: Path, encoding: str) -> None:
    heads = "時間[s],エンジン回転数[rpm],車速[km/h],表示能力"
    path = tmp_path / "ride.csv"
    path.write_bytes((f"{heads}\n" + _ROWS.replace(",", ".").replace(";", ",")).encode(encoding))
    layout = look(path)
    assert [column.heading for column in layout.columns][:4] == heads.split(",")
    assert [column.kind for column in layout.columns][:4] == ["time", "engine", "road", "unused"]
    assert read_csv(path, layout).used_rows == 60


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16-le", "cp1252"])
def test_pieces_cut_no_sign_and_no_row(tmp_path: Path, encoding: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("gearplan.ridelog.reading.pieces._PIECE", 7)
    lines = [f"Höhe {i};{i}" for i in range(40)]
    path = tmp_path / "ride.csv"
    path.write_bytes("\r\n".join(lines).encode(encoding))
    pieces = list(line_pieces(path, encoding, 1, comma=False))
    assert [line for part, _ in pieces for line in part] == lines
    assert sum(read for _, read in pieces) == path.stat().st_size


@given(st.binary(max_size=60), st.sampled_from(["utf-16-le", "utf-16-be", "utf-8", "cp932"]))
def test_what_is_torn_is_read_or_refused(tail: bytes, encoding: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.csv"
        path.write_bytes("time_s,rpm,speed_kmh\n0,3000,50\n1,3100,51\n2,3200,52\n".encode(encoding) + tail)
        try:
            log = read_log(path)
        except LogError as refused:
            assert "\n" not in str(refused)
        else:
            assert (np.diff(log.time) > 0).all()


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "ride.csv"
    path.write_bytes(b"\x00\x01\x00\x00\x02" * 99)
    with pytest.raises(LogError, match="binary"):
        beginning(path)
