"""A column assigned by hand is known again in the next file with these headings."""

from __future__ import annotations

from pathlib import Path

from gearplan.bike.files import tablelooks
from gearplan.ridelog.reading.csvfile import look, read_csv
from gearplan.ridelog.reading.said import keep, look_again

_ROWS = "\n".join(f"{i},{3000 + i % 7},{50 + i % 5},{i % 3}" for i in range(40))


def written(folder: Path, heads: str, name: str = "ride.csv", rows: str = _ROWS) -> Path:
    path = folder / name
    path.write_text(f"{heads}\n{rows}", encoding="utf-8")
    return path


def test_what_was_said_counts_for_the_next_file_that_looks_the_same(tmp_path: Path) -> None:
    first, clear = look_again(written(tmp_path, "q,w,e,r"))
    assert not clear
    said = first.with_column(0, "time").with_column(1, "engine").with_column(2, "road", "mph")
    keep(said)
    again, clear = look_again(written(tmp_path, "q,w,e,r", "other.csv"))
    assert clear
    assert again.said == said.said
    log = read_csv(tmp_path / "other.csv", again)
    assert log.notes == (
        "The columns are read as you said for an earlier file with these headings.",
        "Not used: “r”.",
    )
    assert not look_again(written(tmp_path, "q,w,e,z", "third.csv"))[1]
    # Said anew, it is no longer as before.
    assert again.with_column(3, "gear").gathered == ()


def test_another_row_of_units_is_another_look(tmp_path: Path) -> None:
    keep(look(written(tmp_path, "t,n,v,x\ns,1/min,km/h,")).with_column(3, "gear"))
    assert look_again(written(tmp_path, "t,n,v,x\ns,1/min,km/h,"))[0].column("gear") is not None
    assert look_again(written(tmp_path, "t,n,v,x\ns,1/min,mph,"))[0].column("gear") is None


def test_without_headings_nothing_is_kept_for_another_file(tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text(_ROWS, encoding="utf-8")
    keep(look(path).with_column(3, "gear"))
    assert not look_again(path)[1]


def test_what_was_kept_and_does_not_fit_is_left_alone(tmp_path: Path) -> None:
    layout = look(written(tmp_path, "time_s,rpm,speed_kmh,x"))
    for wrong in ((("time", "s"),), (("time", "km"),) * 4, (("road", "km/h"),) * 4, (("shoe", ""),) * 4):
        tablelooks.remember("ride log", layout.look, wrong)
        assert look_again(written(tmp_path, "time_s,rpm,speed_kmh,x"))[0] == layout


def test_a_column_s_unit_is_that_of_its_heading_its_row_of_units_or_its_cells(tmp_path: Path) -> None:
    layout = look(written(tmp_path, "a,b,c (mph),d\n,,,rad"))
    assert layout.with_column(2, "road").said[2] == ("road", "mph")
    assert layout.with_column(3, "lean").said[3] == ("lean", "rad")
    assert layout.with_column(1, "road").said[1] == ("road", "km/h")
    clocks = "\n".join(f"{i},12:00:{i:02},50,1" for i in range(40))
    layout = look(written(tmp_path, "time_s,q,speed_kmh,r", rows=clocks))
    assert layout.with_column(1, "time").said[1] == ("time", "clock time")
