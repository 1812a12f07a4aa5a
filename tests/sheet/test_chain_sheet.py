"""The chain run on paper: what is shown is what is drawn, with its heads, date and verdict."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pypdf
import pytest
from PySide6.QtWidgets import QApplication

from gearplan.bike.demo import demo_bike
from gearplan.plan.driveset import fitted
from gearplan.plan.set.evaluate import evaluate
from gearplan.plan.set.verdict import verdict
from gearplan.plan.set.words import links_that_fit
from gearplan.sheet import painter
from gearplan.sheet.content import chain_sheet

BIKE = demo_bike().bike
CHOSEN = replace(fitted(BIKE), front=16, rear=43)
DAY = date(2026, 5, 31)


def test_the_axle_stands_where_it_was_dragged() -> None:
    usual, dragged = chain_sheet(BIKE, CHOSEN, DAY), chain_sheet(BIKE, CHOSEN, DAY, 0.566)
    assert dragged.view.axle_position == pytest.approx(0.566)
    assert usual.view.axle_position == pytest.approx(evaluate(BIKE, CHOSEN).run.axle_position)
    figures = {label: (before, after) for label, before, after in dragged.rows}
    assert float(figures["Pivot to axle, mm"][1]) == pytest.approx(566, abs=0.5)
    assert f"About {dragged.view.slack * 1e3:.0f} mm of slack" in dragged.at
    assert dragged.at.startswith("Drawn with pivot to axle 566 mm. ")
    assert figures["Links that fit"] == {row[0]: row[1:] for row in usual.rows}["Links that fit"]
    assert dragged.verdict.level == "check"
    assert f"The axle is drawn at 566 mm: about {dragged.view.slack * 1e3:.0f} mm" in dragged.verdict.told[0]
    assert not any("links fit: pivot to axle" in reason for reason in dragged.verdict.told)


def test_the_drawing_tells_heads_date_links_and_verdict(qapp: QApplication, tmp_path: Path) -> None:
    for chosen in (CHOSEN, replace(CHOSEN, front=13, rear=52)):
        painter.save_chain_drawing(BIKE, chosen, tmp_path / "x.pdf", day=DAY)
        words = " ".join(pypdf.PdfReader(tmp_path / "x.pdf").pages[0].extract_text().split())
        result = evaluate(BIKE, chosen)
        assert "2026-05-31" in words
        assert verdict(result).head in words
        assert words.count("fitted") >= 3
        assert f"Links that fit {links_that_fit(evaluate(BIKE, fitted(BIKE)))} {links_that_fit(result)}" in words
        for text in verdict(result).told:
            assert text.replace(" ", "") in words.replace(" ", "")
