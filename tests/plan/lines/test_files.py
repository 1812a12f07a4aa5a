"""Files of lines: the same oval in degrees and metres, in every form that is read, and what is wrong with one."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from gearplan.plan.lines.centreline import centre_line, circuit_of
from gearplan.plan.lines.csvpoints import points_from_csv
from gearplan.plan.lines.geojson import points_from_geojson
from gearplan.plan.lines.opening import holds_line, read_centre_line, read_circuit_or_line, read_points
from gearplan.plan.lines.points import LineError, Points
from gearplan.plan.lines.xmlpoints import points_from_gpx, points_from_osm

_LAT, _LON = 47.3, 8.4


def oval(count: int = 200) -> np.ndarray:
    """An oval of 600 by 300 m about a place, as longitude and latitude on WGS 84 (geographiclib)."""
    found = []
    for t in np.linspace(0, math.tau, count, endpoint=False):
        east, north = 300 * math.cos(t), 150 * math.sin(t)
        to = Geodesic.WGS84.Direct(_LAT, _LON, math.degrees(math.atan2(east, north)), math.hypot(east, north))
        found.append((to["lon2"], to["lat2"]))
    return np.array(found)


#: Perimeter of that ellipse (complete elliptic integral, scipy.special.ellipe).
_PERIMETER = 1453.27


def as_csv(head: str = "lon,lat") -> str:
    return head + "\n" + "\n".join(f"{lon:.9f},{lat:.9f}" for lon, lat in oval())


def as_geojson(kind: str = "LineString", **properties: object) -> str:
    ring = oval().tolist()
    ring.append(ring[0])
    coordinates = {"LineString": ring, "Polygon": [ring], "MultiLineString": [ring, ring[:20]]}[kind]
    feature = {
        "type": "Feature",
        "properties": properties,
        "geometry": {"type": kind, "coordinates": coordinates},
    }
    return json.dumps({"type": "FeatureCollection", "features": [feature]})


def as_gpx(laps: float = 1.0) -> str:
    ring = oval()
    places = ring[np.arange(int(len(ring) * laps) + 1) % len(ring)]
    points = "".join(f'<trkpt lat="{lat:.9f}" lon="{lon:.9f}"><ele>400</ele></trkpt>' for lon, lat in places)
    return (
        '<?xml version="1.0" encoding="UTF-8"?><gpx xmlns="http://www.topografix.com/GPX/1/1"><trk><name>Oval</name>'
        f"<trkseg>{points}</trkseg></trk></gpx>"
    )


def as_osm(ways: tuple[tuple[int, int], ...] = ((0, 200),), tags: str = '<tag k="highway" v="raceway"/>') -> str:
    nodes = "".join(f'<node id="{k}" lat="{lat:.9f}" lon="{lon:.9f}"/>' for k, (lon, lat) in enumerate(oval()))
    made = []
    for number, (first, last) in enumerate(ways):
        order = range(first, last + 1) if first < last else range(first, last - 1, -1)
        refs = "".join(f'<nd ref="{k % 200}"/>' for k in order)
        made.append(f'<way id="{number}">{refs}{tags}</way>')
    return f'<osm version="0.6">{nodes}{"".join(made)}</osm>'


def length(points: Points) -> float:
    return circuit_of(centre_line(points)).length_m


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (points_from_csv, as_csv()),
        (points_from_csv, as_csv("Longitude (deg),Latitude (deg)")),
        (points_from_geojson, as_geojson()),
        (points_from_geojson, as_geojson("Polygon")),
        (points_from_geojson, as_geojson("MultiLineString")),
        (points_from_gpx, as_gpx()),
        (points_from_gpx, as_gpx(3.4)),
        (points_from_osm, as_osm()),
        (points_from_osm, as_osm(((0, 80), (80, 150), (150, 200)))),
    ],
)
def test_every_form_gives_the_same_oval(read: Callable[[str], Points], text: str) -> None:
    points = read(text)
    assert length(points) == pytest.approx(_PERIMETER, rel=0.002)
    assert np.ptp(points.x) == pytest.approx(600, rel=0.001)
    assert np.ptp(points.y) == pytest.approx(300, rel=0.001)


def test_latitude_before_longitude_is_no_other_shape() -> None:
    swapped = "lat,lon\n" + "\n".join(f"{lat:.9f},{lon:.9f}" for lon, lat in oval())
    assert points_from_csv(swapped).x == pytest.approx(points_from_csv(as_csv()).x)


def test_a_line_in_metres_is_taken_as_metres() -> None:
    ring = [[700_000 + 300 * math.cos(t), 5_200_000 + 150 * math.sin(t)] for t in np.linspace(0, math.tau, 200)]
    points = points_from_geojson(json.dumps({"type": "LineString", "coordinates": ring}))
    assert any("read as metres" in note for note in points.notes)
    assert length(points) == pytest.approx(_PERIMETER, rel=0.002)


def test_several_laps_of_a_track_are_said() -> None:
    made = centre_line(points_from_gpx(as_gpx(3.4)))
    assert any("more than one lap" in note for note in made.notes)
    assert not any("more than one lap" in note for note in centre_line(points_from_gpx(as_gpx())).notes)


def test_a_pit_lane_and_other_roads_are_no_track() -> None:
    pit = as_osm(((0, 200), (5, 60)))
    made = points_from_osm(
        pit.replace('v="raceway"/></way></osm>', 'v="raceway"/><tag k="n" v="pit_lane"/></way></osm>')
    )
    assert not made.notes
    joined = points_from_osm(as_osm(((0, 80), (150, 80), (150, 200))))
    assert joined.notes == ("The line was joined from 3 ways.",)
    assert length(joined) == pytest.approx(_PERIMETER, rel=0.002)


def test_names_and_widths_come_along(tmp_path: Path) -> None:
    made = points_from_geojson(as_geojson(name="Oval", width="14 m"))
    assert made.name == "Oval"
    assert made.left == pytest.approx(np.full(len(made.x), 7.0))
    tagged = points_from_osm(
        as_osm(tags='<tag k="highway" v="raceway"/><tag k="width" v="10"/><tag k="name" v="Loop"/>')
    )
    assert tagged.name == "Loop"
    assert tagged.right == pytest.approx(np.full(len(tagged.x), 5.0))
    x = [f"{300 * math.cos(t):.3f},{150 * math.sin(t):.3f},4,{5 + math.sin(t):.3f}" for t in np.linspace(0, 6.2, 200)]
    wide = points_from_csv("x_m,y_m,w_right_m,w_left_m\n" + "\n".join(x))
    assert wide.right == pytest.approx(np.full(200, 4.0))
    assert wide.left is not None
    assert wide.left.max() == pytest.approx(6, abs=0.01)
    assert any("8 to 10 m wide by the file" in note for note in centre_line(wide).notes)
    path = tmp_path / "somewhere.geojson"
    path.write_text(as_geojson())
    assert read_points(path).name == "somewhere"
    assert holds_line(path)
    assert read_circuit_or_line(path).circuit.name == "somewhere"


def test_the_line_stays_within_the_width_given() -> None:
    points = points_from_csv(as_csv())
    for width in (None, 8.0, 30.0, 1.0):
        made = centre_line(points, width)
        away = np.hypot(made.x - made.track.x, made.y - made.track.y)
        assert away.max() <= made.left.max()
    assert any("Assumed: width of the track 12 m" in note for note in centre_line(points).notes)
    ridden = centre_line(points, 0)
    assert ridden.x == pytest.approx(ridden.track.x)


@pytest.mark.parametrize(
    ("read", "text", "told"),
    [
        (points_from_geojson, "{", "not whole GeoJSON"),
        (points_from_geojson, "[]", "no line"),
        (points_from_geojson, '{"type": "Point", "coordinates": [1, 2]}', "no line"),
        (points_from_geojson, '{"type": "LineString", "coordinates": [[1, "a"], [2, 3]]}', "no two numbers"),
        (points_from_geojson, '{"type": "LineString", "coordinates": [1, 2]}', "no two numbers"),
        (points_from_geojson, '{"type": "LineString", "coordinates": [[1, 2]]}', "fewer than two"),
        (points_from_geojson, "[" * 100_000, "not whole GeoJSON"),
        (points_from_gpx, "<gpx><trk>", "broken XML"),
        (points_from_gpx, "<gpx/>", "no track or route"),
        (points_from_gpx, '<!DOCTYPE a [<!ENTITY b "c">]><gpx/>', "document type"),
        (points_from_gpx, '<gpx><trk><trkpt lat="1"/><trkpt lat="1" lon="2"/></trk></gpx>', "no longitude"),
        (points_from_osm, '<osm><way><nd ref="1"/><nd ref="2"/></way></osm>', "node 1 of a way is not in the file"),
        (points_from_osm, "<osm/>", "no way"),
        (points_from_csv, "lon,lat\n8,95\n8.1,95\n", "latitude of 95"),
        (points_from_csv, "lon,lat\n700000,5200000\n700100,5200000\n", "or are these metres?"),
        (points_from_csv, "x,y\n8.40,47.30\n8.401,47.30\n8.401,47.301\n8.4,47.301\n", "head the columns longitude"),
        (points_from_csv, "x,y,width\n0,0,-3\n100,0,9\n", "no width of a track"),
    ],
)
def test_what_cannot_be_read_is_said_in_one_line(read: Callable[[str], Points], text: str, told: str) -> None:
    with pytest.raises(LineError) as refused:
        read(text)
    assert told in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_file_names_itself_in_what_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "short.gpx"
    path.write_text('<gpx><trk><trkpt lat="1" lon="2"/><trkpt lat="1" lon="2"/></trk></gpx>')
    with pytest.raises(LineError, match=r"short\.gpx: 1 different points"):
        read_centre_line(path)


def test_a_part_that_lacks_is_said() -> None:
    ring = oval()
    # A third of the oval is cut off: the chord across turns sharply at both ends.
    lacking = np.concatenate([ring[:60], ring[130:], ring[:1]])
    text = "lon,lat\n" + "\n".join(f"{lon:.9f},{lat:.9f}" for lon, lat in lacking)
    assert any("does a part lack?" in note for note in centre_line(points_from_csv(text)).notes)


def test_a_bend_that_lacks_is_said_where_the_chord_turns_by_half_of_it_at_each_end() -> None:
    angle = np.radians(np.delete(np.arange(0, 360, 2), slice(40, 70)))
    text = "x,y\n" + "\n".join(
        f"{400 * x:.2f},{400 * y:.2f}" for x, y in zip(np.cos(angle), np.sin(angle), strict=True)
    )
    # 31 steps of 2° on 400 m: a chord of 2 · 400 · sin 31° = 412 m that turns by 31° at either end.
    notes = centre_line(points_from_csv(text)).notes
    assert any(note.startswith("412 m lie between points 40 and 41, and they turn") for note in notes)


def test_a_way_whose_node_has_no_name_is_refused() -> None:
    text = as_osm().replace('<nd ref="7"/>', '<nd ref=""/>')
    with pytest.raises(LineError, match="node without a name of a way is not in the file"):
        points_from_osm(text)


@pytest.mark.parametrize("odd", ["1e300", "-9e9"])
def test_a_point_beyond_every_map_is_refused(odd: str) -> None:
    with pytest.raises(LineError, match="away"):
        points_from_csv(f"x,y\n{odd},0\n" + "\n".join(f"{at},{at % 7}" for at in range(300)))
