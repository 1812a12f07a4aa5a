"""The chain's length against worked examples, a standard's table, another geometry and another solver."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from shapely.geometry import MultiPoint

from gearplan.drive.chain import chainrun
from gearplan.drive.sprocket import pitch_radius
from tests.reference.tables import examples, rows

BOOKS = {book["name"].split(",")[0] + " " + str(i): book for i, book in enumerate(examples("chain_length"))}


def handbook_series(centre: float, z1: int, z2: int) -> float:
    """Links by the handbook's series, which the books use; centre in pitches."""
    return 2 * centre + (z1 + z2) / 2 + ((z2 - z1) / (2 * math.pi)) ** 2 / centre


def centre_in_pitches(book: dict[str, Any]) -> float:
    if "centre_pitches" in book:
        return float(book["centre_pitches"])
    return float(book["centre_mm"] / book["pitch_mm"])


@pytest.mark.parametrize("book", [b for b in BOOKS.values() if "length_pitches_printed" in b], ids=lambda b: b["name"])
def test_printed_number_of_links(book: dict[str, Any]) -> None:
    """The books print the handbook series to one or two decimals; ours is exact and lies within 0.02 link of it.

    Khurmi's 112.3 is the book's own truncation of 62.36 to 62 (exact arithmetic: 112.657), so 0.36 is added.
    """
    printed = book["length_pitches_printed"] + (0.36 if book["name"].startswith("Khurmi") else 0.0)
    ours = chainrun.links_taut(centre_in_pitches(book), book["z1"], book["z2"], 1.0)
    places = len(str(book["length_pitches_printed"]).split(".")[1])
    assert ours == pytest.approx(printed, abs=0.5 * 10**-places + 0.02)


@pytest.mark.parametrize(
    ("z1", "z2", "links", "printed", "tolerance"),
    [
        # Jiang 2019, p. 162: 1025.4 mm by the quadratic formula, which is 0.13 mm long there.
        (21, 81, 134, 1025.4 / 25.4, 0.2 / 25.4),
        # Mott, 4th ed., examples 7-3 and 7-2 (the second from memory): two and three decimals of a pitch.
        (17, 65, 104, 30.54, 0.007),
        (17, 65, 122, 39.766, 0.003),
        # Shigley, 8th ed., example 17-5, from memory.
        (17, 34, 76, 25.104, 0.001),
    ],
)
def test_printed_centre_distance(z1: int, z2: int, links: int, printed: float, tolerance: float) -> None:
    assert chainrun.centre_for_links(links, z1, z2, 1.0, 0.0) == pytest.approx(printed, abs=tolerance)


def test_round_trip_of_a_textbook() -> None:
    """Jindal, Machine Design, example 30-1: from 300 mm to a length and back to 300.00 mm."""
    links = chainrun.links_taut(300.0, 17, 51, 9.52)
    assert links == pytest.approx(97.954, abs=0.02)
    assert chainrun.centre_for_links(links, 17, 51, 9.52, 0.0) == pytest.approx(300.0, abs=1e-9)


def test_many_at_once_are_each_as_far_as_one_alone() -> None:
    """Equal sprockets are found at the first step, for which the others must not be left where they are."""
    links, front, rear = np.array([100.0, 112.0, 120.0]), np.array([20, 15, 14]), np.array([20, 46, 60])
    alone = [chainrun.centre_for_links(*one, 0.015875, 0.0) for one in zip(links, front, rear, strict=True)]
    assert chainrun.centre_for_links(links, front, rear, 0.015875, 0.0) == pytest.approx(np.array(alone), abs=1e-12)
    # Both runs of equal sprockets are as long as the centre distance: (100 − 20)/2 pitches.
    assert alone[0] == pytest.approx(40 * 0.015875, abs=1e-12)


@pytest.mark.parametrize("book", examples("motorcycle_chain"), ids=lambda b: f"{b['z1']}-{b['z2']}")
def test_exact_centre_distance_of_motorcycle_sets(book: dict[str, Any]) -> None:
    """By the closed form of the standard's factor f4, computed apart from this program."""
    found = chainrun.centre_for_links(book["links"], book["z1"], book["z2"], book["pitch_mm"], 0.0)
    assert found == pytest.approx(book["centre_mm_exact"], abs=0.0006)


@pytest.mark.parametrize("row", rows("centre_factor_f4.csv"), ids=lambda row: row["(X-z1)/(z2-z1)"])
def test_centre_factor_of_the_standard(row: dict[str, str]) -> None:
    """a = f4·p·(2X − z1 − z2); the table of ISO 606 from memory, five decimals, tolerance 2e-5."""
    z1, z2 = 17, 57
    links = z1 + float(row["(X-z1)/(z2-z1)"]) * (z2 - z1)
    centre = _unclamped_centre(links, z1, z2)
    assert centre / (2 * links - z1 - z2) == pytest.approx(float(row["f4_table"]), abs=2e-5)


def _unclamped_centre(links: float, z1: int, z2: int) -> float:
    """Inverse of `links_taut` by bracketing, also where the table goes nearer than real sprockets can."""
    least = float(pitch_radius(z2, 1.0) - pitch_radius(z1, 1.0)) * (1 + 1e-9)

    def miss(centre: float) -> float:
        return float(chainrun.links_taut(centre, z1, z2, 1.0)) - links

    return float(brentq(miss, least, links, xtol=1e-12))


@pytest.mark.parametrize(
    ("z1", "z2", "centre", "slack"),
    [(15, 46, 0.6418, 0.03), (12, 60, 0.55, 0.05), (17, 17, 0.5, 0.0), (40, 15, 0.6, 0.02)],
)
def test_inverse_against_another_solver(z1: int, z2: int, centre: float, slack: float) -> None:
    """scipy's brentq on the forward formula."""
    links = float(chainrun.links_at_slack(centre, z1, z2, 0.015875, slack)) + 0.7

    def miss(c: float) -> float:
        return float(chainrun.links_at_slack(c, z1, z2, 0.015875, slack)) - links

    theirs = brentq(miss, centre, centre + 0.1, xtol=1e-14)
    assert chainrun.centre_for_links(links, z1, z2, 0.015875, slack) == pytest.approx(theirs, abs=1e-10)


@pytest.mark.parametrize(("z1", "z2", "centre"), [(16, 43, 600.0), (15, 46, 641.8), (13, 52, 560.0), (11, 38, 480.0)])
def test_length_against_the_polygon_of_pins(z1: int, z2: int, centre: float) -> None:
    """A taut chain is the convex hull of the pins on both pitch circles (shapely), averaged over their positions.

    The hull's perimeter counts each link as a chord, so its length over the pitch is a number of links.
    """
    pitch = 15.875
    r1, r2 = float(pitch_radius(z1, pitch)), float(pitch_radius(z2, pitch))
    phases = np.linspace(0, 1, 24, endpoint=False)

    def pins(x: float, radius: float, teeth: int, phase: float) -> list[tuple[float, float]]:
        angles = (np.arange(teeth) + phase) * 2 * np.pi / teeth
        return [(x + radius * math.cos(a), radius * math.sin(a)) for a in angles]

    lengths = [
        MultiPoint(pins(0.0, r1, z1, a) + pins(centre, r2, z2, b)).convex_hull.length for a in phases for b in phases
    ]
    assert chainrun.links_taut(centre, z1, z2, pitch) == pytest.approx(np.mean(lengths) / pitch, abs=1e-4)


def test_it_is_not_the_length_of_a_belt_on_the_pitch_circles() -> None:
    """Round arcs are longer: 1677.163 mm for this set (shapely's hull of two discs), 0.068 link more."""
    belt = 1677.16318 / 15.875
    assert belt - chainrun.links_taut(600.0, 16, 43, 15.875) == pytest.approx(0.068, abs=0.001)


@pytest.mark.parametrize(("inside_mm", "play_mm"), [(0.1, 16), (0.25, 26), (0.5, 36), (1.0, 51)])
def test_play_is_violently_sensitive_to_the_axle(inside_mm: float, play_mm: float) -> None:
    """Elementary geometry: 2·ΔC of excess on a run of some 640 mm gives √(2·t·e) of play, to a millimetre or so."""
    centre, z1, z2, pitch = 0.64, 15, 46, 0.015875
    taut = chainrun.links_taut(centre, z1, z2, pitch)
    nearer = centre - inside_mm * 1e-3

    def miss(slack: float) -> float:
        return float(chainrun.links_at_slack(nearer, z1, z2, pitch, slack) - taut)

    assert brentq(miss, 1e-4, 0.2) * 1e3 == pytest.approx(play_mm, rel=0.05)
