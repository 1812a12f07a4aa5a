"""Sentences of a satellite receiver. The first three are widely published examples with their checksums (from memory);
the others are made by a generator here, which shares nothing with the reader."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.text.units import KMH
from gearplan.ridelog.log import LogError, RideLog
from gearplan.ridelog.reading.opening import form_of, read_log

_PUBLISHED = (
    "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47",
    "$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A",
    "$GPVTG,054.7,T,034.4,M,005.5,N,010.2,K*48",
)


def closed(body: str) -> str:
    """A sentence of its body, with its checksum."""
    total = 0
    for sign in body:
        total ^= ord(sign)
    return f"${body}*{total:02X}"


def minutes(value: float, sides: str, wide: int) -> str:
    whole = int(abs(value))
    return f"{whole:0{wide}d}{60 * (abs(value) - whole):08.5f},{sides[value < 0]}"


def sentences(second: float, latitude: float, longitude: float, knots: float, height: float, date: str) -> list[str]:
    second %= 86400
    clock = f"{int(second // 3600):02d}{int(second // 60 % 60):02d}{second % 60:05.2f}"
    place = f"{minutes(latitude, 'NS', 2)},{minutes(longitude, 'EW', 3)}"
    return [
        closed(f"GNGGA,{clock},{place},1,09,1.0,{height:.1f},M,47.0,M,,"),
        closed("GNGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1"),
        closed(f"GNRMC,{clock},A,{place},{knots:.3f},90.0,{date},,,A"),
        closed(f"GNVTG,90.0,T,,M,{knots:.3f},N,{knots * 1.852:.3f},K,A"),
    ]


def read(folder: Path, lines: list[str], name: str = "ride.txt", end: str = "\r\n") -> RideLog:
    path = folder / name
    path.write_bytes(end.join(lines).encode("latin-1"))
    return read_log(path)


def test_published_sentences_have_their_place_height_and_speed(tmp_path: Path) -> None:
    later = [closed(line[1:-3].replace("123519", "123520")) for line in _PUBLISHED]
    log = read(tmp_path, [*_PUBLISHED, *later])
    assert log.latitude is not None
    assert log.longitude is not None
    assert log.altitude is not None
    assert log.gps is not None
    assert log.notes == ()
    assert log.time.tolist() == [0.0, 1.0]
    assert log.latitude[0] == pytest.approx(48 + 7.038 / 60)
    assert log.longitude[0] == pytest.approx(11 + 31 / 60)
    assert log.altitude[0] == 545.4
    # 22.4 knots of 1852 m/h.
    assert log.gps[0] == pytest.approx(22.4 * 1852 / 3600)


def test_speed_of_vtg_where_there_is_no_rmc(tmp_path: Path) -> None:
    lines = [_PUBLISHED[0], _PUBLISHED[2], closed(_PUBLISHED[0][1:-3].replace("123519", "123521")), _PUBLISHED[2]]
    log = read(tmp_path, lines)
    assert log.gps is not None
    assert (log.gps / KMH).tolist() == pytest.approx([10.2, 10.2])


def test_a_ride_over_midnight_south_and_west(tmp_path: Path) -> None:
    lines = ["a logger's own heading"]
    for i in range(100):
        date = "311225" if i < 50 else "010126"
        lines += sentences(86395 + i / 10, -33.5 + i * 1e-5, -70.25, 20.0, 500 + i, date)
    log = read(tmp_path, lines)
    assert log.time.tolist() == pytest.approx([i / 10 for i in range(100)], abs=1e-6)
    assert log.longitude is not None
    assert log.longitude[0] == pytest.approx(-70.25)
    assert log.rows == 100


def test_without_any_speed_it_is_that_of_the_positions(tmp_path: Path) -> None:
    """Metres between fixes by GeographicLib (C. Karney)."""
    lines = [sentences(40000 + i, 47.0 + i * 2e-4, 9.0 + i * 1e-4, 0, 400, "010126")[0] for i in range(30)]
    log = read(tmp_path, lines)
    metres = Geodesic.WGS84.Inverse(47.0, 9.0, 47.0002, 9.0001)["s12"]
    assert log.gps is not None
    assert log.gps[10] == pytest.approx(metres, rel=2e-3)
    assert "The speed is computed from the positions." in log.notes


def test_broken_sentences_and_fixes_that_are_none_are_left_out(tmp_path: Path) -> None:
    lines = [line for i in range(20) for line in sentences(40000 + i, 47 + i * 1e-4, 9, 20, 400, "010126")]
    lines[2] = lines[2].replace(",20.000,", ",80.000,")
    lines.append(closed("GNRMC,110650.00,V,,,,,,,010126,,,N"))
    lines.append(closed("GNGGA,110651.00,,,,,0,00,99.9,,M,,M,,"))
    lines.append(closed("GNRMC,,V,,,,,,,,,,N"))
    log = read(tmp_path, lines)
    assert log.rows == 20
    assert log.gps is not None
    assert log.gps[0] / KMH == pytest.approx(20 * 1.852, rel=1e-4)
    assert log.notes == ("1 sentence has a checksum that does not agree and is left out.",)


@pytest.mark.parametrize("before", ["", "12:00:01.250 ", "1714000000,"])
def test_told_from_its_first_lines_whatever_a_logger_puts_before_them(tmp_path: Path, before: str) -> None:
    path = tmp_path / "ride.log"
    path.write_text("\n".join(before + line for line in _PUBLISHED), encoding="ascii")
    assert form_of(path) == "nmea"


def test_no_fix_is_refused_in_one_line(tmp_path: Path) -> None:
    with pytest.raises(LogError, match="GGA or RMC"):
        read(tmp_path, [closed("GPRMC,110650.00,V,,,,,,,010126,,,N")] * 9)


_FIELD = st.one_of(st.text("0123456789.-NSEWAVMK", max_size=12), st.sampled_from(["", "4807.038", "01131.000", "N"]))


@given(st.lists(st.tuples(st.sampled_from(["GPGGA", "GPRMC", "GPVTG"]), st.lists(_FIELD, max_size=14)), max_size=30))
def test_any_sentences_give_a_ride_or_one_line(told: list[tuple[str, list[str]]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        try:
            log = read(Path(folder), [closed(",".join([kind, *fields])) for kind, fields in told], "any.nmea")
        except LogError as refused:
            assert "\n" not in str(refused)
        else:
            assert (np.diff(log.time) > 0).all()
