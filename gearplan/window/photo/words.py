"""What each step of pointing asks for, in words."""

from __future__ import annotations

from gearplan.language import tr
from gearplan.photo.points import Group

TITLES: dict[Group, str] = {
    "rear": tr("Pins on the rear sprocket"),
    "front": tr("Pins on the front sprocket"),
    "run": tr("Pins of the upper run"),
    "pivot": tr("Swingarm pivot"),
    "ground rear": tr("Ground under the rear wheel"),
    "ground front": tr("Ground under the front wheel"),
    "rim rear": tr("Edge of the rear rim"),
    "rim front": tr("Edge of the front rim"),
}

ASKED: dict[Group, str] = {
    "rear": tr(
        "Point at pin heads where the chain lies on the rear sprocket: first four neighbours, then every fourth or "
        "so, as far round as can be seen."
    ),
    "front": tr(
        "The same on the front sprocket, as far as pins can be seen beside the cover. Two tell its place, more "
        "tell it better."
    ),
    "run": tr("Point at four pins of the upper run, far apart: one near each sprocket and two between."),
    "pivot": tr("Point at the middle of the pivot's bolt head, and say below how far it stands out."),
    "ground rear": tr("Point at the middle of the patch where the rear tyre touches the ground."),
    "ground front": tr("Point at the middle of the patch where the front tyre touches the ground."),
    "rim rear": tr("Point at the rear rim's edge that faces the camera: six points all round."),
    "rim front": tr("Point at the front rim's edge that faces the camera: six points all round."),
}

KEYS = (
    "Mouse: a click sets a point, dragging moves one, dragging elsewhere or with the right button moves the picture, "
    "the wheel zooms.\n"
    "Keys in the picture: the arrows move the cross, or the chosen point (Ctrl: faster, Shift: finer); Enter sets a "
    "point and lets it go; Del takes it away; + and − zoom, 0 shows all; Page Up and Page Down change the step; [ and "
    "] count a pin to another number; Ctrl+Z and Ctrl+Y undo and redo."
)

NO_PICTURE = tr(
    "Open a photograph of the chain's side: both wheels in it, the handlebar straight, square to the motorcycle, from "
    "3 m or more with zoom, at full size, not cropped. It stays on this machine."
)
