"""Files that once broke the reading or the telling, or never came to an end: each has a whole answer or one line."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from gearplan.ridelog.laps.laps import _fitted_starts
from gearplan.ridelog.log import LogError
from gearplan.ridelog.reading.opening import read_log
from gearplan.ridelog.telling.learned import as_numbers, learn
from gearplan.ridelog.telling.words import remarks, text_for_people
from tests.ridelog.rides import BRINDLE

_FILES = sorted((Path(__file__).parent / "files").iterdir())


@pytest.mark.parametrize("path", _FILES, ids=lambda path: path.name)
def test_each_has_a_whole_answer_or_one_line(path: Path) -> None:
    try:
        learned = learn(read_log(path), BRINDLE)
    except LogError as refused:
        assert str(refused).endswith(".")
        assert "\n" not in str(refused)
        return
    json.dumps(as_numbers(learned, remarks(learned, BRINDLE)), allow_nan=False)
    assert text_for_people(learned, BRINDLE)


def test_an_encoding_that_nobody_knows_is_said() -> None:
    with pytest.raises(LogError, match="encoding"):
        read_log(Path(__file__).parent / "files" / "unknown-encoding.gpx")


@pytest.mark.parametrize("period", [2, 3, 5])
def test_laps_of_a_few_steps_come_to_an_end(period: int) -> None:
    """A clock that leaps makes the grid so coarse; each lap has to lie beyond the one before."""
    line = 20 + 5 * np.sin(np.arange(4000) * 2 * np.pi / period + 0.3)
    starts = _fitted_starts(line, period)
    assert len(starts) <= 4000 / (period / 2) + 1
    assert (np.diff(starts) > 0).all()
