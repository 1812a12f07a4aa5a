"""The sentence for the customer that says whether a set goes in, and what has to be seen to first."""

from __future__ import annotations

from gearplan.bike.text.written import listed
from gearplan.language import tr
from gearplan.plan.customer.words import Sentence
from gearplan.plan.findings import Finding
from gearplan.plan.set.evaluate import SetResult


def fit_sentence(proposed: SetResult) -> Sentence:
    """Whether the set goes in, by its gravest findings, and whether the adjuster ends before the chain is worn."""
    ends = any(f.about == "adjuster" and f.level == "check" for f in proposed.findings)
    soon = _ENDS_EARLY if ends else ""
    if proposed.verdict == "fits":
        return Sentence(
            "fit",
            tr("The set fits this motorcycle{soon}; slack is set by measuring.", soon=soon),
            short=tr("Fits{soon}", soon=soon),
        )
    against = [f for f in proposed.findings if f.level == proposed.verdict and not f.aside]
    if proposed.verdict == "does not fit":
        why = against[0].short or against[0].text.removesuffix(".")
        not_so = tr("This set does not fit") if against[0].sure else tr("This set probably does not fit")
        return Sentence("fit", f"{not_so}. {why}.", (), not_so, f"{why}.", amiss=True)
    names = list(dict.fromkeys(_to_check(f) for f in against))
    # Its clause would run on into what follows.
    names.sort(key=lambda name: name == _INCOMPLETE)
    goes_in = any(f.about == "chain length" and f.level == "fits" for f in proposed.findings)
    chain_fits = tr("The chain fits{soon}. ", soon=soon) if goes_in else ""
    # Of the speedometer its own sentence tells.
    others = [name for name in names if name not in (_SPEEDOMETER, _SPEEDOMETER_MAYBE)]
    return Sentence(
        "fit",
        tr("{chain_fits}To be checked first: {listed}.", chain_fits=chain_fits, listed=listed(names)),
        short=tr("The chain fits{soon}", soon=soon) if goes_in else "",
        beside=tr("To be checked first: {listed}.", listed=listed(others)) if others else "",
        amiss=bool(others),
    )


_ENDS_EARLY = tr(", with little left to adjust as it wears")


def _to_check(finding: Finding) -> str:
    if finding.about == "speedometer" and not finding.sure:
        return _SPEEDOMETER_MAYBE
    return _TO_CHECK.get(finding.about, _INCOMPLETE)


_SPEEDOMETER = tr("the speedometer, which would show the wrong speed")
_SPEEDOMETER_MAYBE = tr("the speedometer, which would probably show the wrong speed")
_INCOMPLETE = tr("the motorcycle's data, which are not complete")
_TO_CHECK = {
    "rolling circumference": tr("how far the rear tyre really rolls"),
    "front sprocket": tr("whether the front sprocket is large enough"),
    "adjuster": tr("how much wear the adjuster can take up"),
    "tightest point": tr("the slack where the chain is tightest"),
    "wrap": tr("how far the chain wraps the front sprocket"),
    "upper run": tr("the chain's clearance at the swingarm pivot"),
    "lower run": tr("the chain's clearance at the swingarm pivot"),
    "chain strength": tr("whether the chain is strong enough"),
    "chain size": tr("the change to another chain size"),
    "chain length": tr("whether the chain's length fits"),
    "chain as fitted": tr("how many links the fitted chain has, and where the axle stands"),
    "where the axle stands": tr("how many links the fitted chain has, and where the axle stands"),
    "chain kept": tr("the chain that is on, which is too long by its wear"),
    "sprockets": tr("whether front and rear sprocket are swapped"),
    "anti-squat": tr("the swingarm's figures"),
    "speedometer": _SPEEDOMETER,
    "profile": tr("the motorcycle's data, which contradict themselves"),
}
