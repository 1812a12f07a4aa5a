"""The camera of the photo room against OpenCV's (projectPoints, undistortPoints: Brown's model, k1 alone)."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from gearplan.photo.camera import Cameras, on_plane, project, turns


def _some(seed: int, mirrored: bool) -> tuple[Cameras, np.random.Generator]:
    rng = np.random.default_rng(seed)
    yaw, pitch, roll = rng.uniform(-0.3, 0.3, (3, 1))
    shift = np.array([[*rng.uniform(-0.5, 0.5, 2), rng.uniform(1.5, 6)]])
    bend = rng.uniform(-0.08, 0.03, 1)
    return Cameras(turns(yaw, pitch, roll, mirrored), shift, rng.uniform(2000, 6000, 1), bend), rng


@pytest.mark.parametrize("seed", range(8))
def test_points_are_seen_where_opencv_sees_them(seed: int) -> None:
    cameras, rng = _some(seed, mirrored=False)
    points = rng.uniform(-0.8, 0.8, (20, 3))
    matrix = np.diag([cameras.focal[0], cameras.focal[0], 1.0])
    bend = np.array([cameras.bend[0], 0, 0, 0, 0])
    wanted, _slopes = cv2.projectPoints(points, cv2.Rodrigues(cameras.turn[0])[0], cameras.shift[0], matrix, bend)
    assert np.allclose(project(cameras, points[None])[0], wanted.reshape(-1, 2), atol=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_a_bike_that_faces_left_is_seen_as_in_a_mirror(seed: int) -> None:
    cameras, rng = _some(seed, mirrored=True)
    points = rng.uniform(-0.8, 0.8, (20, 3))
    turn = cameras.turn[0] @ np.diag([-1.0, 1.0, 1.0])
    assert np.linalg.det(turn) == pytest.approx(1)
    bend = np.array([cameras.bend[0], 0, 0, 0, 0])
    matrix = np.diag([cameras.focal[0], cameras.focal[0], 1.0])
    mirrored = points * [-1, 1, 1]
    wanted, _slopes = cv2.projectPoints(mirrored, cv2.Rodrigues(turn)[0], cameras.shift[0], matrix, bend)
    assert np.allclose(project(cameras, points[None])[0], wanted.reshape(-1, 2), atol=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_rays_go_the_way_that_opencv_traces_them_back(seed: int) -> None:
    cameras, rng = _some(seed, mirrored=False)
    pixels = rng.uniform(-800, 800, (12, 2))
    height = np.array([-0.03])
    met = on_plane(cameras, pixels, height[:, None])
    matrix = np.diag([cameras.focal[0], cameras.focal[0], 1.0])
    straight = cv2.undistortPoints(pixels[:, None], matrix, np.array([cameras.bend[0], 0, 0, 0, 0]))
    ahead = np.concatenate([np.asarray(straight).reshape(-1, 2), np.ones((12, 1))], axis=1)
    # A point of the plane lies on the traced ray if it is parallel to it, seen from the camera.
    placed = np.concatenate([met[0], np.full((12, 1), height[0])], axis=1)
    seen = placed @ cameras.turn[0].T + cameras.shift[0]
    assert np.allclose(seen[:, :2] / seen[:, 2:], ahead[:, :2], atol=1e-7)
    assert np.allclose(project(cameras, placed[None])[0], pixels, atol=1e-3)
