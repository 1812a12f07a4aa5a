"""A photograph drawn from known geometry, as a JPEG with the data that a camera writes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from PySide6.QtCore import QBuffer, QPointF, Qt
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPolygonF

from gearplan.photo.points import Group
from tests.photo.pictures import Floats, Scene
from tests.photo.test_picture import exif


def _circle(x: float, y: float, radius: float, z: float) -> Floats:
    angles = np.linspace(0, 2 * np.pi, 181)
    return np.stack([x + radius * np.cos(angles), y + radius * np.sin(angles), np.full(181, z)], axis=1)


def draw(scene: Scene) -> QImage:
    """The scene as flat shapes: ground, tyres, rims, sprockets, swingarm, chain with its pins, the pivot's head."""
    image = QImage(*scene.size, QImage.Format.Format_RGB32)
    image.fill(QColor("#c9cdd0"))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def shape(places: Floats, fill: str, line: str = "#222222", width: float = 3.0) -> None:
        painter.setBrush(QColor(fill))
        painter.setPen(QPen(QColor(line), width) if line else Qt.PenStyle.NoPen)
        painter.drawPolygon(QPolygonF([QPointF(float(x), float(y)) for x, y in scene.seen(places)]))

    def row(places: Floats, colour: str, metres: float) -> None:
        painter.setPen(QPen(QColor(colour), metres * scene.focal_px / scene.distance))
        painter.drawPolyline([QPointF(float(x), float(y)) for x, y in scene.seen(places)])

    middle, high = -scene.middle, scene.axle_height
    up = scene.front_height - high
    shape(np.array([[-3, -high, middle], [5, -high, middle], [5, -1.2, middle], [-3, -1.2, middle]]), "#8f8a80", "")
    for x, y, tyre, (rim, edge) in (
        (0.0, 0.0, high, scene.rims[0]),
        (scene.wheelbase, up, scene.front_height, scene.rims[1]),
    ):
        shape(_circle(x, y, tyre, middle), "#2b2b2b")
        shape(_circle(x, y, rim, edge + middle), "#b8bdc2", "#f4f4f4", 4)
        shape(_circle(x, y, rim - 0.02, edge + middle), "#7d8388")
    every = replace(scene, strides=(1, 1, 1), starts=(1.7, -1.3, 0.02))
    places = every.places((24, 7, 33))
    pivot = np.array([*scene.pivot, 0.0])
    row(np.array([[0.0, 0.0, -0.03], pivot]), "#5a6068", 0.05)
    shaft, at = scene.pivot + np.array(scene.shaft), scene.pivot
    shape(_circle(float(shaft[0]), float(shaft[1]), 0.03, 0.0), "#9aa0a6")
    shape(_circle(0, 0, 0.11, -0.005), "#9aa0a6")
    chain: tuple[Group, ...] = ("run", "rear", "front")
    for group in chain:
        row(places[group], "#3c4046", 0.013)
    for group in chain:
        for pin in places[group]:
            shape(_circle(float(pin[0]), float(pin[1]), 0.0027, 0.0), "#e6d9a8", "#222222", 1.5)
    shape(_circle(float(at[0]), float(at[1]), 0.011, scene.head), "#d7dade")
    shape(_circle(float(at[0]), float(at[1]), 0.0015, scene.head), "#222222", "")
    painter.end()
    return image


def photograph(scene: Scene, path: Path, *, orientation: int = 1) -> Path:
    """The drawn scene as a JPEG with its focal length; other data, as a camera writes them, stand beside it."""
    buffer = QBuffer()
    assert draw(scene).save(buffer, "JPEG", 90)  # type: ignore[call-overload]
    plain = bytes(buffer.data().data())
    block = exif(focal=round(scene.focal), size=scene.size, orientation=orientation)
    marked = b"\xff\xe1" + (8 + len(block)).to_bytes(2, "big") + b"Exif\0\0" + block
    path.write_bytes(plain[:2] + marked + plain[2:])
    return path


def clicks(scene: Scene) -> dict[Group, Floats]:
    """Where a careful person clicks, in px of the picture: four neighbours on the rear sprocket, then every fourth."""
    every = replace(scene, strides=(1, 1, 1), starts=(1.7, -1.3, 0.02))
    places = every.places((24, 7, 33))
    wanted: dict[Group, list[int]] = {
        "rear": [0, 1, 2, 3, 7, 11, 15, 19, 23],
        "front": [0, 1, 2, 4, 6],
        "run": [0, 6, 13, 20, 27, 32],
    }
    return {group: scene.seen(found[wanted[group]] if group in wanted else found) for group, found in places.items()}
