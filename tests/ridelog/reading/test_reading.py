"""Reading logs: many styles of heading, unit and number; what is broken; and that any text has an answer."""

from __future__ import annotations

import json
import math
import tempfile
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gearplan.bike.text.units import KMH, MPH, RPM
from gearplan.ridelog.log import LogError, ReadingCancelled, RideLog
from gearplan.ridelog.reading.columns import guess, unit_in, words_of
from gearplan.ridelog.reading.csvfile import look, read_csv
from gearplan.ridelog.reading.opening import read_log
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.words import remarks
from tests.ridelog.rides import BRINDLE

_ROWS = 60


def rows(delimiter: str = ",", comma: bool = False, count: int = _ROWS) -> str:
    lines = [f"{i / 10:.1f};{3000 + i};{50 + i / 10:.1f}" for i in range(count)]
    text = "\n".join(lines)
    return (text.replace(".", ",") if comma else text).replace(";", delimiter)


def written(folder: Path, content: str | bytes, name: str = "ride.csv") -> Path:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


def as_plain(log: RideLog) -> None:
    """The ride that `rows` writes."""
    assert log.engine is not None
    assert log.road is not None
    assert log.time.tolist() == pytest.approx([i / 10 for i in range(_ROWS)], abs=1e-6)
    assert (log.engine / RPM).tolist() == pytest.approx([3000 + i for i in range(_ROWS)])
    assert (log.road / KMH).tolist() == pytest.approx([50 + i / 10 for i in range(_ROWS)])


@pytest.mark.parametrize(
    "text",
    [
        "time_s,rpm,speed_kmh\n" + rows(),
        "\ufefftime_s,rpm,speed_kmh\n" + rows(),
        "time_s\trpm\tspeed_kmh\r\n" + rows("\t").replace("\n", "\r\n"),
        "time_s,rpm,speed_kmh\r" + rows().replace("\n", "\r"),
        "# by an invented logger\n# of no make\nTime (s),Engine Speed (rpm),Wheel Speed (km/h)\n" + rows(),
        "Rider;A\nDate;2026-05-03\n\nTime;Engine Speed;Vehicle Speed\ns;1/min;km/h\n" + rows(";"),
        "Zeit [s];Drehzahl [U/min];Geschwindigkeit [km/h]\n" + rows(";", comma=True),
        '"elapsedTime [sec]","EngineRPM","rearWheelSpeed (kph)"\n' + rows(),
        "time_s rpm speed_kmh\n" + rows("  "),
        "Zeit/s;Drehzahl/1/min;v/km/h\n" + rows(";", comma=True),
        "t_s,U/min,v_kmh\n" + rows(),
        "time_s|rpm|speed_kmh\n" + rows("|"),
    ],
)
def test_headings_of_many_styles_give_the_same_ride_and_need_no_question(tmp_path: Path, text: str) -> None:
    path = written(tmp_path, text)
    assert look(path).sure
    as_plain(read_log(path))


def test_a_ride_without_a_heading_is_guessed_and_asked(tmp_path: Path) -> None:
    path = written(tmp_path, rows())
    layout = look(path)
    assert not layout.sure
    assert [column.kind for column in layout.columns] == ["time", "engine", "road"]
    log = read_csv(path, layout)
    as_plain(log)
    assert "no heading" in log.notes[0]


def test_units_are_read_or_taken_and_said(tmp_path: Path) -> None:
    text = "Time,RPM,Speed (mph),GPS Speed,Throttle,Lean Angle,Alt (ft)\n" + "\n".join(
        f"{i * 20},{4000 + i},60,96,0.{i % 10},{i}.5,328.084" for i in range(30)
    )
    path = written(tmp_path, text)
    layout = look(path)
    kinds = {column.kind: (column.unit, column.sure) for column in layout.columns}
    assert kinds["time"] == ("ms", False)
    assert kinds["road"] == ("mph", True)
    assert kinds["gps"] == ("km/h", False)
    assert kinds["throttle"] == ("share", False)
    log = read_csv(path, layout)
    assert log.road is not None
    assert log.altitude is not None
    assert log.lean is not None
    assert log.road[0] == pytest.approx(60 * MPH)
    assert log.time[1] == pytest.approx(0.02)
    assert log.altitude[0] == pytest.approx(100, abs=1e-3)
    assert log.lean[3] == pytest.approx(math.radians(3.5))


def test_a_person_s_word_on_a_column_counts(tmp_path: Path) -> None:
    path = written(tmp_path, "a,b,c\n" + rows())
    layout = look(path)
    assert [column.kind for column in layout.columns] == ["unused"] * 3
    layout = layout.with_column(0, "time").with_column(1, "engine").with_column(2, "road", "mph")
    log = read_csv(path, layout)
    assert log.road is not None
    assert log.road[0] == pytest.approx(50 * MPH)
    moved = layout.with_column(1, "road")
    assert [column.kind for column in moved.columns] == ["time", "road", "unused"]


@pytest.mark.parametrize(
    ("stamp", "unit"),
    [
        ("2026-05-03T23:59:{:06.3f}Z", "date and time"),
        ("2026-05-03 12:00:{:06.3f}", "date and time"),
        ("2026-05-03T12:00:{:06.3f}+02:00", "date and time"),
        ("2026-05-03T12:00:{:06.3f}+02", "date and time"),
        ("03.05.2026 12:00:{:06.3f}", "date and time"),
        ("5/13/2026 12:00:{:06.3f}", "date and time"),
        ("12:00:{:06.3f}", "clock time"),
        ("7:{:06.3f}", "clock time"),
    ],
)
def test_times_as_text(tmp_path: Path, stamp: str, unit: str) -> None:
    text = "Time,RPM,Speed (km/h)\n" + "\n".join(f"{stamp.format(i / 10)},{3000 + i},{50 + i / 10}" for i in range(60))
    path = written(tmp_path, text)
    time = look(path).column("time")
    assert time is not None
    assert time.unit == unit
    as_plain(read_log(path))


def test_midnight_restarts_rounded_stamps_and_steps_back_keep_the_rows(tmp_path: Path) -> None:
    clock = "Time,Speed (km/h)\n" + "\n".join(
        f"{(86395 + i) // 3600 % 24:02}:{(86395 + i) // 60 % 60:02}:{(86395 + i) % 60:02},50" for i in range(12)
    )
    assert read_log(written(tmp_path, clock)).time.tolist() == [float(i) for i in range(12)]
    twice = "time_s,speed_kmh\n" + rows(count=40) + "\n" + rows(count=40)
    log = read_log(written(tmp_path, twice))
    assert log.used_rows == 80
    assert (np.diff(log.time) > 0).all()
    assert any("starts again" in note for note in log.notes)
    rounded = "time_s,speed_kmh\n" + "\n".join(f"{i // 10},{50 + i}" for i in range(100))
    log = read_log(written(tmp_path, rounded))
    assert log.time.tolist() == pytest.approx([i / 10 for i in range(100)])
    back = "time_s,speed_kmh\n0,1\n1,2\n2,3\n1.5,4\n3,5\n99999,6\n4,7\n5,8"
    log = read_log(written(tmp_path, back))
    assert log.time.tolist() == [0, 1, 2, 3, 4, 5]
    assert log.road is not None
    assert (log.road / KMH).tolist() == pytest.approx([1, 2, 3, 5, 7, 8])


def test_bad_rows_are_left_out_counted_and_the_first_is_named(tmp_path: Path) -> None:
    lines = ("time_s,rpm,speed_kmh\n" + rows()).split("\n")
    lines[11] = "1.0,oops,51"
    lines[21] = "2.0"
    lines[31] = "time_s,rpm,speed_kmh"
    lines[41] = "# a remark"
    log = read_log(written(tmp_path, "\n".join(lines)))
    assert log.used_rows == _ROWS - 4
    [bad] = [note for note in log.notes if "cannot be read" in note]
    assert bad == "2 rows cannot be read and are left out; the first is row 12: rpm “oops” is no number."
    assert any("heading stands again" in note for note in log.notes)


def test_empty_cells_leave_the_rest_of_the_row(tmp_path: Path) -> None:
    text = "time_s,rpm,speed_kmh,lat,lon\n" + "\n".join(
        f"{i / 10},{3000 + i},{50 if i % 5 == 0 else ''},," if i % 7 else f"{i / 10},-,n/a,NaN,null" for i in range(50)
    )
    log = read_log(written(tmp_path, text))
    assert log.used_rows == 50
    assert log.road is not None
    assert np.count_nonzero(np.isfinite(log.road)) == sum(i % 5 == 0 and i % 7 != 0 for i in range(50))


@pytest.mark.parametrize("cell", ["", "-", "--", "n/a", "NULL", " none ", "?"])
def test_no_value_in_most_rows_is_read_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, cell: str) -> None:
    """Row by row would take many times as long."""
    monkeypatch.delattr("gearplan.ridelog.reading.csvfile._State._one_by_one")
    for sign in ",;\t":
        lines = [sign.join((f"{i / 10}", str(3000 + i), "50" if i % 5 == 0 else cell)) for i in range(60)]
        log = read_log(written(tmp_path, sign.join(("time_s", "rpm", "speed_kmh")) + "\n" + "\n".join(lines)))
        assert log.used_rows == 60
        assert log.road is not None
        assert np.count_nonzero(np.isfinite(log.road)) == 12


def test_values_beyond_sense_count_as_missing(tmp_path: Path) -> None:
    lines = ("time_s,rpm,speed_kmh\n" + rows()).split("\n")
    lines[5], lines[9] = "0.4,655350,50", "0.8,3008,-12"
    log = read_log(written(tmp_path, "\n".join(lines)))
    assert log.used_rows == _ROWS
    assert log.engine is not None
    assert log.road is not None
    assert np.isnan(log.engine[4])
    assert log.notes == ("Engine speed: 1 value beyond 0 to 30000 rpm left out; look at its column and unit.",)


def test_a_large_file_is_thinned_and_said(tmp_path: Path) -> None:
    path = written(tmp_path, "time_s,rpm,speed_kmh\n" + rows(count=5000))
    log = read_csv(path, most_rows=1000)
    assert 500 <= log.used_rows <= 1100
    assert log.rows == 5000
    assert any("is used" in note for note in log.notes)
    assert log.step == pytest.approx(0.1 * round(5000 / log.used_rows), rel=0.1)


def test_progress_rises_to_the_end_and_cancel_stops(tmp_path: Path) -> None:
    path = written(tmp_path, "time_s,rpm,speed_kmh\n" + rows(count=300000))
    seen: list[float] = []
    counted: list[int] = []

    def told(share: float, rows: int) -> None:
        seen.append(share)
        counted.append(rows)

    read_log(path, progress=told)
    assert len(seen) > 1
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    assert counted == sorted(counted)
    assert 0 < counted[0] < counted[-1] == 300000
    with pytest.raises(ReadingCancelled):
        read_log(path, cancelled=lambda: True)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"\n\n", "empty"),
        (b"\x7fELF\0\1\2", "binary"),
        (b"a,b\n1,2\n" + b"\0" * 500_000, "binary"),
        (b"\xff\xfet\0i\0", "No rows of numbers"),
        ("time_s,rpm,speed_kmh\n1,2".encode("utf-16-le") + b"\0\0", "binary|stands still"),
        (b"hello\nworld\n", "No rows of numbers"),
        (b"# only\n# remarks\n", "no row to read"),
        (b"time_s,foo\n0,1\n1,2\n2,3\n", "No column holds a speed"),
        (b"time_s,rpm,speed_kmh\n" + b"5,3000,50\n" * 50, "stands still"),
        (b"time_s,rpm,speed_kmh\n0,1,2\n", "stands still"),
        (b"Zeit,Drehzahl,Tempo\n" + b"0,1,3000,50,5\n" * 9, "decimal commas"),
        (b"<gpx><trk></trk></gpx>", "no track"),
        (b"<gpx><trk>", "broken XML"),
        (b'<!DOCTYPE g [<!ENTITY a "b">]><gpx>&a;</gpx>', "document type"),
        (b'<gpx><trkpt lat="1" lon="2"/><trkpt lat="1" lon="2"/></gpx>', "no times"),
        (b"1" * 9_000_000, "No rows|signs|cells|speed"),
    ],
)
def test_what_is_no_ride_is_refused_in_one_line(tmp_path: Path, content: bytes, words: str) -> None:
    with pytest.raises(LogError, match=words) as caught:
        read_log(written(tmp_path, content))
    assert "\n" not in str(caught.value)


def test_values_that_cannot_be_are_left_out_and_named(tmp_path: Path) -> None:
    wild = rows(count=300) + "\n9000,1e300,1e308\n9001,-7000,-90\n"
    log = read_log(written(tmp_path, "time_s,rpm,speed_kmh\n" + wild))
    assert log.engine is not None
    assert log.road is not None
    assert np.flatnonzero(np.isnan(log.engine)).tolist() == [300, 301]
    assert np.isfinite(log.road[:300]).all()
    assert "Engine speed: 2 values beyond 0 to 30000 rpm left out; look at its column and unit." in log.notes
    places = "\n".join(f"{i},{48 if i else 480}.0,11.0" for i in range(9))
    log = read_log(written(tmp_path, "time_s,latitude,longitude\n" + places))
    assert any(note.startswith("Latitude: 1 value beyond") for note in log.notes)


_WILD = st.one_of(st.floats(), st.sampled_from([1e300, -1e300, 0.0, 4000.0, 60.0, 48.1, 1e9]))


@settings(max_examples=60)
@given(
    st.lists(st.tuples(_WILD, _WILD, _WILD, _WILD, _WILD), min_size=1, max_size=4),
    st.floats(0.001, 5.0),
    st.integers(2, 400),
)
def test_any_numbers_are_told_or_refused(wild: list[tuple[float, ...]], step: float, count: int) -> None:
    head = "time_s,rpm,speed_kmh,gps_speed_kmh,latitude_deg,longitude_deg\n"
    lines = (",".join([repr(i * step), *map(repr, wild[i % len(wild)])]) for i in range(count))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.csv"
        path.write_text(head + "\n".join(lines), encoding="utf-8")
        try:
            learned = learn(read_log(path), BRINDLE)
        except LogError as refused:
            assert "\n" not in str(refused)
            return
    assert all(remark.text for remark in remarks(learned, BRINDLE))
    json.dumps(as_numbers(learned, remarks(learned, BRINDLE)), allow_nan=False)


def test_binary_after_the_beginning_and_a_missing_file_are_refused(tmp_path: Path) -> None:
    good = ("time_s,rpm,speed_kmh\n" + rows(count=20000)).encode()
    with pytest.raises(LogError, match="binary"):
        read_log(written(tmp_path, good + b"\0\0"))
    with pytest.raises(LogError, match="No such file"):
        read_log(tmp_path / "none.csv")
    with pytest.raises(LogError, match="folder"):
        read_log(tmp_path)


def test_gpx_gives_speed_and_position(tmp_path: Path) -> None:
    points = "".join(
        f'<trkpt lat="{50 + i * 1e-4:.7f}" lon="7.5"><ele>{100 + i}</ele><time>2026-05-03T12:00:{i:02}Z</time></trkpt>'
        for i in range(30)
    )
    text = f'<?xml version="1.0"?><gpx xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>{points}</trkseg></trk></gpx>'
    log = read_log(written(tmp_path, text, "ride.gpx"))
    assert log.gps is not None
    assert log.altitude is not None
    assert log.placed
    # A minute of latitude at 50° is 1853.9 m on this ellipsoid (WGS 84, meridian radius 6 372 956 m).
    assert log.gps[10] == pytest.approx(60e-4 * 1853.77, rel=5e-4)
    assert log.altitude[-1] == 129


@pytest.mark.parametrize(
    ("heading", "kind", "unit"),
    [
        ("lat_deg", "latitude", "°"),
        ("GPS Longitude", "longitude", "°"),
        ("gps_speed_mps", "gps", "m/s"),
        ("GroundSpeed (kn)", "gps", "kn"),
        ("wheel_speed_rear_kmh", "road", "km/h"),
        ("Front Wheel Speed [mph]", "road", "mph"),
        ("engine_rpm", "engine", "rpm"),
        ("Time [ms]", "time", "ms"),
        ("alt_m", "altitude", "m"),
        ("Elevation (ft)", "altitude", "ft"),
        ("TPS %", "throttle", "%"),
        ("gear_position", "gear", ""),
        ("Bank Angle (rad)", "lean", "rad"),
        ("LatAcc", "unused", ""),
        # Usual words of other languages, units in any bracket or in an empty one; a wheel turns too.
        ("Drehzahl Motor [1/min]", "engine", "rpm"),
        ("Régime moteur (tr/min)", "engine", "rpm"),
        ("nMot {U/min}", "engine", "rpm"),
        ("Toerental <rpm>", "engine", "rpm"),
        ("Drehzahl Rad", "unused", ""),
        ("Wheel Speed RPM", "unused", ""),
        ("Raddrehzahl hinten", "unused", ""),
        ("gps_mph", "gps", "mph"),
        ("GPS-Geschw. [km/h]", "gps", "km/h"),
        ("Vitesse GPS (m/s)", "gps", "m/s"),
        ("Velocità [km/h]", "road", "km/h"),
        ("Velocidad []", "road", "km/h"),
        ("Snelheid |mph|", "road", "mph"),
        ("Länge", "longitude", "°"),
        ("Länge [m]", "unused", ""),
        ("Tiempo <ms>", "time", "ms"),
        ("Exhaust gas temp", "unused", ""),
        ("Lap time", "unused", ""),
        ("gear ratio", "unused", ""),
        ("Roll rate (deg/s)", "unused", ""),
    ],
)
def test_headings_are_known(heading: str, kind: str, unit: str) -> None:
    [column] = guess([heading], [], [[1.0, 2.0, 3.0]])
    assert (column.kind, column.unit) == (kind, unit)


def table(heads: str, *columns: list[float]) -> str:
    return "\n".join([heads, *(",".join(f"{cell:g}" for cell in row) for row in zip(*columns, strict=True))])


def test_a_time_with_an_odd_heading_is_found_by_how_it_rises(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    seconds = [1000 + i + (i % 7 == 0) * 0.5 for i in range(80)]
    counter, odometer = [float(i) for i in range(80)], np.cumsum(rng.uniform(5, 25, 80)).tolist()
    rpm, speed = (3000 + rng.uniform(0, 900, 80)).tolist(), (50 + rng.uniform(0, 9, 80)).tolist()
    text = table("Index,tm_rel,Strecke,rpm,speed_kmh", counter, seconds, odometer, rpm, speed)
    path = written(tmp_path, text)
    column = look(path).column("time")
    assert column is not None
    assert (column.heading, column.unit, column.sure) == ("tm_rel", "s", False)
    log = read_csv(path)
    assert log.timed
    assert log.time[-1] == pytest.approx(seconds[-1] - seconds[0])
    assert "Not used: “Index”, “Strecke”." in log.notes


def test_a_time_that_stands_still_gives_way_to_one_that_rises(tmp_path: Path) -> None:
    rng = np.random.default_rng(4)
    speed = (50 + rng.uniform(0, 9, 60)).tolist()
    text = table("time,stamp_x,speed_kmh", [7.0] * 60, [0.2 * i for i in range(60)], speed)
    column = look(written(tmp_path, text)).column("time")
    assert column is not None
    assert column.heading == "stamp_x"


def test_where_nothing_rises_a_person_is_asked_for_the_time(tmp_path: Path) -> None:
    speed = [50.0 + i % 9 for i in range(60)]
    layout = look(written(tmp_path, table("a,speed_kmh", [3.0] * 60, speed)))
    assert layout.column("time") is None
    assert layout.usable
    assert not layout.sure


def test_words_and_units() -> None:
    assert words_of("engineSpeed_RPM [1/min]") == ["engine", "speed", "rpm", "1/min"]
    assert words_of("Schräglage (°)") == ["schraglage", "°"]
    assert unit_in("[min⁻¹]") == "rpm"
    assert unit_in("KM/H") == "km/h"
    assert unit_in("bananas") is None


@settings(max_examples=150)
@given(st.one_of(st.text(max_size=300), st.binary(max_size=300)))
def test_any_file_gives_a_ride_or_one_line(content: str | bytes) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
        try:
            log = read_log(path)
        except LogError as refused:
            assert "\n" not in str(refused)
        else:
            assert (np.diff(log.time) > 0).all()


_CELL = st.one_of(
    st.floats(allow_nan=True).map(repr), st.integers().map(str), st.sampled_from(["", "-", "x", '"', "1,5", "12:00:01"])
)


@settings(max_examples=150)
@given(
    st.lists(st.lists(_CELL, min_size=1, max_size=5), max_size=12),
    st.sampled_from([",", ";", "\t", " "]),
    st.sampled_from(["time_s,rpm,speed_kmh\n", "t;v;n\n", "", "Time\tSpeed\ns\tmph\n"]),
)
def test_any_table_gives_a_ride_or_one_line(table: list[list[str]], delimiter: str, head: str) -> None:
    text = head + "\n".join(delimiter.join(cells) for cells in table)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "any.csv"
        path.write_text(text, encoding="utf-8")
        try:
            log = read_log(path)
        except LogError as refused:
            assert "\n" not in str(refused)
        else:
            assert (np.diff(log.time) > 0).all()


def test_a_row_without_a_date_has_no_time(tmp_path: Path) -> None:
    """An empty cell before dates is no ride of 300,000 years."""
    dated = "\n".join(f"2026-05-03T10:00:{i:02d}Z,{3000 + i},{50 + i}" for i in range(_ROWS))
    log = read_log(written(tmp_path, "time,rpm,speed_kmh\n,2999,49\n" + dated))
    assert log.time[-1] == pytest.approx(_ROWS - 1)
    assert any("has no time" in note for note in log.notes)


def test_a_point_without_a_time_is_left_out(tmp_path: Path) -> None:
    point = '<trkpt lat="48.0" lon="{lon}">{time}</trkpt>'
    points = [point.format(lon=11.0, time="")]
    points += [point.format(lon=11 + i / 1000, time=f"<time>2026-05-03T10:00:{i:02d}Z</time>") for i in range(1, 30)]
    text = f'<gpx version="1.1"><trk><trkseg>{"".join(points)}</trkseg></trk></gpx>'
    assert read_log(written(tmp_path, text, "ride.gpx")).time[-1] == pytest.approx(28)


@pytest.mark.parametrize("first", [-558446353793941390, 1e15, 315964800])
def test_a_first_stamp_that_lies_far_from_the_others(tmp_path: Path, first: float) -> None:
    """A clock that is set only after the start: what cannot be is left out, what can be is a pause."""
    text = "time_s,rpm,speed_kmh\n" + f"{first},3000,50\n" + rows()
    log = read_log(written(tmp_path, text))
    assert (np.diff(log.time) > 0).all()
    assert log.time[-1] < 60


@pytest.mark.parametrize("columns", [3, 6])
def test_reading_takes_the_values_once_and_little_besides(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    """A clock, its copy in order and a comparison come on top for a while; the text goes piece by piece."""
    monkeypatch.setattr("gearplan.ridelog.reading.pieces._PIECE", 20_000)
    heads = ["time_s", "rpm", "speed_kmh", "gps_speed_kmh", "gear", "throttle_percent"][:columns]
    cells = ["{:.1f}", "{}", "50.5", "50.4", "3", "40.1"][:columns]
    count = 60_000
    lines = "\n".join(",".join(cells).format(i / 10, 3000 + i % 5000) for i in range(count))
    path = written(tmp_path, ",".join(heads) + "\n" + lines)
    read_log(path)
    tracemalloc.start()
    try:
        log = read_log(path)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert log.used_rows == count
    assert most < 8 * count * (1.3 * columns + 4) + 1_000_000
