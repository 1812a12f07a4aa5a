"""The verdict on a set as a person is told it: state and number of cautions first, then each of them, then what passed.

Window, sheets and pictures take order and wording from here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from gearplan.bike.text.written import counted
from gearplan.language import tr, trn
from gearplan.plan.chain.reach import LENGTH
from gearplan.plan.findings import LEVELS, Finding, Level
from gearplan.plan.set.evaluate import SetResult
from gearplan.plan.words import VERDICT

_ENTRIES_MISSING = tr("entries missing")


@dataclass(frozen=True, slots=True)
class Verdict:
    """What is said of a set.

    `level` goes with its shape and colour, `head` says the state and how many cautions there are. `told` are the
    sentences that must be read, the gravest first; `passed` those of the checks that found nothing amiss. `folded` is
    what is shown while those are folded away: that the chain fits, and where its axle goes, stays in sight, behind what
    is to be heeded and before what is to be entered.
    """

    level: Level
    head: str
    told: tuple[str, ...]
    passed: tuple[str, ...]
    folded: tuple[str, ...] = ()

    @property
    def passed_head(self) -> str:
        """How many checks passed."""
        return trn("{n} check passed", "{n} checks passed", len(self.passed))


def verdict(result: SetResult, left_out: Sequence[str] = ()) -> Verdict:
    """What is said of a set; `left_out` tells of entries that were not accepted, which might have decided otherwise."""
    shown = [f for f in result.findings if f.level != "fits"]
    shown.sort(key=lambda f: (-LEVELS.index(f.level), f.about != LENGTH, f.aside))
    notes = [f.text for f in result.findings if f.level == "fits" and f.aside]
    against = [f.text for f in shown if f.level == "does not fit"]
    cautions = [*left_out, *(f.text for f in shown if f.level == "check")]
    level = "check" if left_out and result.verdict == "fits" else result.verdict
    passed = [f for f in result.findings if f.level == "fits" and not f.aside]
    passed.sort(key=lambda f: f.about != LENGTH)
    goes_on = bool(passed and passed[0].about == LENGTH)
    told = (*against, *cautions, *notes)
    heeded = len(left_out) + len(list(takewhile(lambda f: not f.lacks_entries, shown)))
    return Verdict(
        level=level,
        head=_head(level, shown, len(left_out), goes_on),
        told=told,
        passed=tuple(f.text for f in passed),
        folded=(*told[:heeded], *(f.text for f in passed[:1] if goes_on), *told[heeded:]),
    )


def _head(level: Level, shown: list[Finding], left_out: int, goes_on: bool) -> str:
    # A chain that goes on fits, whatever else is to be known before it is used.
    state = VERDICT["fits" if level == "check" and goes_on and not left_out else level]
    checks = [f for f in shown if f.level == "check"]
    lacking = [f for f in checks if f.lacks_entries]
    cautions = len(checks) - len(lacking) + left_out
    parts = [
        state,
        *([counted(cautions, "caution", "cautions")] if cautions else []),
        *([_ENTRIES_MISSING] if lacking else []),
    ]
    return ", ".join(parts)
