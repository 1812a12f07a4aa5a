"""The robust fits of ride logs against scipy, and positions against geodesics."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import least_squares
from scipy.stats import t as student_t
from scipy.stats import theilslopes

from gearplan.ridelog.learning.robust import blocked_error, cauchy_centre, line_fit, spread, student
from gearplan.ridelog.places import EQUATOR, FLATTENING, local_metres, radii


def readings(seed: int, count: int = 400) -> np.ndarray:
    rng = np.random.default_rng(seed)
    values = rng.normal(3.0, 0.02, count)
    values[: count // 8] += rng.exponential(0.3, count // 8)
    return values


@pytest.mark.parametrize("seed", range(5))
def test_the_centre_is_that_of_cauchy_least_squares(seed: int) -> None:
    """scipy.optimize.least_squares with loss="cauchy" minimises the same sum."""
    values = readings(seed)
    scale = spread(values)

    def rest(centre: np.ndarray) -> np.ndarray:
        return np.asarray(values - centre[0])

    found = least_squares(rest, [np.median(values)], loss="cauchy", f_scale=2.385 * scale, xtol=1e-12)
    centre, weights = cauchy_centre(values, scale)
    assert centre == pytest.approx(found.x[0], abs=2e-4 * scale)
    assert weights.min() < 0.1 < weights.max()


@pytest.mark.parametrize("seed", range(5))
def test_the_line_is_that_of_cauchy_least_squares_and_near_theil_and_sen(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x = rng.uniform(0, 900, 300)
    y = 40 + 0.25 * x + rng.normal(0, 5, 300)
    y[:30] += rng.exponential(80, 30)
    fit = line_fit(x, y, np.arange(300) // 10)
    assert fit is not None
    width = 2.385 * fit.spread

    def rest(line: np.ndarray) -> np.ndarray:
        return np.asarray(y - line[0] - line[1] * x)

    found = least_squares(rest, [30.0, 0.2], loss="cauchy", f_scale=width, x_scale=[10, 0.1])
    assert fit.slope == pytest.approx(found.x[1], abs=2e-4)
    assert fit.constant == pytest.approx(found.x[0], abs=0.1)
    _, _, low, high = theilslopes(y, x, 0.999)
    assert low < fit.slope < high


def test_the_line_s_intervals_hold_the_truth_as_often_as_they_say() -> None:
    inside = 0
    for seed in range(300):
        rng = np.random.default_rng(seed)
        x = np.repeat(rng.uniform(0, 900, 25), 12)
        y = 10 + 0.3 * x + np.repeat(rng.normal(0, 4, 25), 12) + rng.normal(0, 2, 300)
        fit = line_fit(x, y, np.arange(300) // 12)
        assert fit is not None
        inside += abs(fit.slope - 0.3) <= fit.margin(0, 1)
    assert 0.92 * 300 <= inside <= 300


def test_the_blocked_error_is_the_cluster_sandwich() -> None:
    """For equal weights and blocks: the standard error of the mean of the blocks' means."""
    rng = np.random.default_rng(2)
    values = (rng.normal(0, 1, (20, 1)) + rng.normal(0, 0.1, (20, 30))).ravel()
    error, blocks = blocked_error((values - values.mean()) / len(values), np.repeat(np.arange(20), 30))
    means = values.reshape(20, 30).mean(1)
    assert blocks == 20
    assert error == pytest.approx(means.std(ddof=1) / math.sqrt(20), rel=1e-9)


@pytest.mark.parametrize(("freedom", "within"), [(2, 0.05), (3, 0.01), (5, 2e-3), (10, 2e-4), (200, 1e-6)])
def test_the_quantile_is_student_s(freedom: int, within: float) -> None:
    assert student(freedom) == pytest.approx(float(student_t.ppf(0.975, freedom)), rel=within)


def test_a_degree_of_latitude_is_that_of_the_ellipsoid() -> None:
    """The meridian's arc by numerical integration; at 45° a degree is 111 131.7 m (NIMA TR8350.2)."""
    e2 = FLATTENING * (2 - FLATTENING)

    def meridian(phi: float) -> float:
        return EQUATOR * (1 - e2) / (1 - e2 * math.sin(phi) ** 2) ** 1.5

    low, high = 44.95, 45.05
    arc, _ = quad(meridian, math.radians(low), math.radians(high))
    _, y = local_metres(np.array([low, high]), np.array([7.0, 7.0]), (45.0, 7.0))
    assert y[1] - y[0] == pytest.approx(arc, rel=1e-8)
    assert radii(45.0)[0] * math.radians(1) == pytest.approx(111131.7, abs=2.0)
    # And a degree of longitude at the equator, 111 319.5 m.
    assert radii(0.0)[1] * math.radians(1) == pytest.approx(111319.5, abs=0.1)


def test_the_distance_is_the_geodesic_one() -> None:
    """Two surveyed stations, 54 972.271 m apart on this ellipsoid: Geoscience Australia, Vincenty's formulae, example
    Flinders Peak to Buninyong (GDA technical manual; from memory). Halved steps keep the map small.
    """
    flinders = (-(37 + 57 / 60 + 3.72030 / 3600), 144 + 25 / 60 + 29.52440 / 3600)
    buninyong = (-(37 + 39 / 60 + 10.15610 / 3600), 143 + 55 / 60 + 35.38390 / 3600)
    share = np.linspace(0, 1, 51)
    latitude = flinders[0] + share * (buninyong[0] - flinders[0])
    longitude = flinders[1] + share * (buninyong[1] - flinders[1])
    length = 0.0
    for i in range(50):
        about = (float(latitude[i]), float(longitude[i]))
        x, y = local_metres(latitude[i : i + 2], longitude[i : i + 2], about)
        length += math.hypot(x[1] - x[0], y[1] - y[0])
    # The straight line in latitude and longitude is longer than the geodesic by some metres at most.
    assert 54972.271 <= length <= 54972.271 * 1.0002


def test_positions_across_the_date_line_lie_together() -> None:
    x, _ = local_metres(np.array([10.0, 10.0]), np.array([179.9999, -179.9999]), (10.0, 180.0))
    assert x[1] - x[0] == pytest.approx(2e-4 * math.radians(1) * radii(10.0)[1] * math.cos(math.radians(10)), rel=1e-6)
