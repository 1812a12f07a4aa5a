"""Size markings in the forms in which they stand on sidewalls."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gearplan.bike.tyresize import TyreSize, TyreSizeError, parse_tyre_size


@pytest.mark.parametrize(
    ("text", "width", "height", "rim", "by"),
    [
        ("180/55 ZR 17", 180, 99, 17, "metric"),
        ("180/55ZR17", 180, 99, 17, "metric"),
        ("180/55 zr17 m/c (73W)", 180, 99, 17, "metric"),
        ("120/70-17 M/C", 120, 84, 17, "metric"),
        ("120/70 ZR17 M/C (58W)", 120, 84, 17, "metric"),
        ("180/55R17 73W TL", 180, 99, 17, "metric"),
        ("130/80 B 17", 130, 104, 17, "metric"),
        ("130/90B16 73H", 130, 117, 16, "metric"),
        (" 90 / 90 - 21 54H", 90, 81, 21, "metric"),
        ("140/80–18", 140, 112, 18, "metric"),
        ("3.00-18", 76.2, 76.2, 18, "inch"),
        ("3,00-18", 76.2, 76.2, 18, "inch"),
        ("2.75-21 45P", 69.85, 69.85, 21, "inch"),
        ("4.60 H 18", 116.84, 105.156, 18, "inch"),
        ("4.25/85-18", 107.95, 91.7575, 18, "inch"),
        ("MT90-16", 130, 117, 16, "letter code"),
        ("MT90B16", 130, 117, 16, "letter code"),
        ("mu85 b 16", 140, 119, 16, "letter code"),
        ("2 1/2-18", 68, 71, 18, "inch code"),
        ("2½-17", 68, 71, 17, "inch code"),
        ("3 1/4-19", 89, 90, 19, "inch code"),
        ("2-17", 55, 56, 17, "inch code"),
    ],
)
def test_forms(text: str, width: float, height: float, rim: float, by: str) -> None:
    found = parse_tyre_size(text)
    assert (found.width_mm, found.section_height_mm, found.rim_in) == pytest.approx((width, height, rim))
    assert found.by == by


@pytest.mark.parametrize(
    "text",
    ["", "tyre", "180", "180/55", "180/55 ZR", "10/55-17", "500/55-17", "180/5-17", "180/55-1", "180/55-40", "MZ90-16",
     "7-17", "180/55 ZR 17 and more", "180/55/17", "-17", "3.00", "18-3.00", "180.5/55-17"],
)  # fmt: skip
def test_what_is_no_size_is_refused_with_what_would_be_right(text: str) -> None:
    with pytest.raises(TyreSizeError, match=r"such as 180/55 ZR 17"):
        parse_tyre_size(text)


@given(st.text(max_size=20))
def test_any_text_gives_a_size_or_a_refusal(text: str) -> None:
    try:
        assert isinstance(parse_tyre_size(text), TyreSize)
    except TyreSizeError as refused:
        assert str(refused)
