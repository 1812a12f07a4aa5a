"""Colours, type scale and spacing of everything that is drawn, on screen and on paper. No Qt here.

Sources: verdict colours and accent after the colour-blind-safe set of Okabe and Ito (2008), darkened or lightened
to 4.5:1 on their ground; the gear ramp from cividis (Nuñez, Anderton and Renslow 2018), which stays ordered in
any kind of colour vision and in grey.
"""

from __future__ import annotations

from dataclasses import dataclass

from gearplan.language import tr
from gearplan.plan.findings import Level

#: The one spacing unit, in device-independent pixels; gaps are multiples of it.
UNIT = 8

#: The type scale, in device-independent pixels.
SMALL, BODY, TITLE, LARGE = 12, 14, 18, 26

FAMILY = tr("Lato")

# cividis at 0, 1/8, …, 1.
_CIVIDIS = ("#00204d", "#05366e", "#414d6b", "#61646f", "#7d7c78", "#9b9477", "#bdaf6f", "#e0cb5e", "#ffea46")


@dataclass(frozen=True)
class Theme:
    """The colours of one appearance, as #rrggbb.

    `line` only parts what stands apart anyway; `edge` bounds what can be pressed, or is itself what is to be seen.
    """

    dark: bool
    window: str
    surface: str
    raised: str
    line: str
    edge: str
    text: str
    quiet: str
    accent: str
    on_accent: str
    selected: str
    fits: str
    check: str
    refuse: str
    ramp: tuple[float, float]

    def gear(self, index: int, count: int) -> str:
        """Colour of a gear on the ramp, 0 the first of `count`."""
        low, high = self.ramp
        at = low + (high - low) * (index / max(count - 1, 1))
        left = min(int(at * 8), 7)
        share = at * 8 - left
        one, other = bytes.fromhex(_CIVIDIS[left][1:]), bytes.fromhex(_CIVIDIS[left + 1][1:])
        mixed = bytes(round(a + (b - a) * share) for a, b in zip(one, other, strict=True))
        return f"#{mixed.hex()}"

    def level(self, level: Level) -> str:
        """Colour of a verdict; always shown with its shape and word."""
        return {"fits": self.fits, "check": self.check, "does not fit": self.refuse}[level]


LIGHT = Theme(
    dark=False,
    window="#f3f2ee",
    surface="#ffffff",
    raised="#e9e7e1",
    line="#d3d0c8",
    edge="#807d75",
    text="#1c1f23",
    quiet="#5b6068",
    accent="#0067a3",
    on_accent="#ffffff",
    selected="#d6e8f4",
    fits="#00795a",
    check="#a06400",
    refuse="#bb4400",
    ramp=(0.0, 0.62),
)
DARK = Theme(
    dark=True,
    window="#17191c",
    surface="#1f2226",
    raised="#2c3036",
    line="#3d4249",
    edge="#838a93",
    text="#eceae5",
    quiet="#a5abb3",
    accent="#56b4e9",
    on_accent="#10161b",
    selected="#1f3f54",
    fits="#2cc39a",
    check="#e9a93a",
    refuse="#ff8a4d",
    ramp=(0.42, 1.0),
)
#: For who needs more: whatever is to be read or found has 7:1 on its ground.
CONTRAST_LIGHT = Theme(
    dark=False,
    window="#ffffff",
    surface="#ffffff",
    raised="#f0f0f0",
    line="#4d4d4d",
    edge="#3a3a3a",
    text="#000000",
    quiet="#3a3a3a",
    accent="#003f7a",
    on_accent="#ffffff",
    selected="#cfe3f5",
    fits="#00503a",
    check="#5f3b00",
    refuse="#8a1f00",
    ramp=(0.0, 0.3),
)
CONTRAST_DARK = Theme(
    dark=True,
    window="#000000",
    surface="#000000",
    raised="#1a1a1a",
    line="#a6a6a6",
    edge="#d0d0d0",
    text="#ffffff",
    quiet="#d0d0d0",
    accent="#8fd0ff",
    on_accent="#000000",
    selected="#003a57",
    fits="#5fe3b8",
    check="#ffc35c",
    refuse="#ffb894",
    ramp=(0.68, 1.0),
)
