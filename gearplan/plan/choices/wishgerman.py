"""A wish said in German, put into the English words that `wishtext` reads; what is in neither stays as it was said."""

from __future__ import annotations

import re

_ORDINALS = {
    "erste": "first",
    "zweite": "second",
    "dritte": "third",
    "vierte": "fourth",
    "fünfte": "fifth",
    "sechste": "sixth",
}
_PART = {
    "kettengröße": "chain size", "kettenräder": "rear", "kettenrad": "rear sprocket", "ritzel": "front sprocket",
    "gliederzahl": "links", "glieder": "links", "kette": "chain", "reifen": "tyre",
}  # fmt: skip
_PARTS = "|".join(_PART)
_NUMBER = r"[+\-−]?\s?[\d.,\u00a0]+"
#: What to look for, in small letters, and what it says in English; the first come before those that are parts of them.
_PHRASES: tuple[tuple[str, str], ...] = (
    (r"möglichst wenige? neue teile", "fewest new parts"),
    (r"nur (?:teile |was )?(?:am|auf|vom|im) lager(?: ist)?", "only parts in stock"),
    (r"nur,? was ohne prüfung passt|nichts zu prüfen", "only sets that fit without a check"),
    (r"tacho innerhalb der (?:regel|vorschrift)", "speedometer within the rule"),
    (r"(?:am )?schnellsten?(?: runde)? auf (?:dieser|der) strecke", "quickest on this circuit"),
    (rf"(?:mit )?(?:die |der |dem )?(?:gleicher?n?|selben?) ({_PARTS})", r"keep the <\1>"),
    (rf"(?:die |das |den |meine? |meinen )?({_PARTS}) behalten", r"keep the <\1>"),
    (rf"(?:ohne|keine?n?) (?:neue[ns]?|andere[ns]?) ({_PARTS})", r"without a new <\1>"),
    (rf"gleiches verhältnis(?: auf ({_NUMBER}) ?%)", r"same ratio within \1 %"),
    (r"gleiches verhältnis", "same ratio"),
    (rf"radstand auf ({_NUMBER}) ?mm", r"wheelbase within \1 mm"),
    (rf"anfahren (?:bei|an) ({_NUMBER}) ?%(?: steigung)?", r"start on \1 %"),
    (rf"mit ({_NUMBER}) ?kg(?: zuladung)?", r"with \1 kg on board"),
    (r"höchstgeschwindigkeit", "top speed"),
    (r"(?:im )?(?:höchste[rn]|letzte[rn]) gang reicht bis", "top gear reaches"),
    (r"(?:im )?gang (\d+) reicht bis", r"gear \1 reaches"),
    (r"im (?:höchsten|letzten|größten) gang", "in top gear"),
    (r"im (\d+)\. gang|im gang (\d+)", r"in gear \1\2"),
    (rf"im ({'|'.join(_ORDINALS)})n gang", r"in <\1> gear"),
    (r"höchste[rn] gang|letzte[rn] gang", "top gear"),
    (r"gang (\d+)", r"gear \1"),
    (r"mehr zug(?:kraft)?", "more pull"),
    (r"weniger zug(?:kraft)?", "less pull"),
    (r"zugkraft|durchzug", "pull"),
    (r"(?:sekundär)?(?:übersetzungs)?verhältnis|sekundärübersetzung", "ratio"),
    (r"(?:preis|kosten|kostet)(?= (?:höchstens|bis|maximal))", "cost"),
    (r"höchstens|maximal|nicht (?:mehr|größer|höher|schneller|länger) als|nicht über", "at most"),
    (r"mindestens|wenigstens|nicht (?:weniger|kleiner|niedriger|langsamer|kürzer) als|nicht unter", "at least"),
    (r"1/min|u/min", "rpm"),
    (r"(?:kette|umrüsten auf|umrüstung auf|auf) (\d{3}|25h)(?:er)?(?: umrüsten)?|(\d{3})er kette", r"\1\2 chain"),
    (r"(?:zahn|zähne) weniger", "teeth down"),
    (r"(?:zahn|zähne) mehr", "teeth up"),
    (r"ein(?:en)? (?=teeth)", "1 "),
    (r"vorne?|am ritzel|ritzel", "front"),
    (r"hinten|am kettenrad|kettenrad", "rear"),
    (r"ruhiger|leiser|niedrigere drehzahl|länger(?: übersetzt)?", "calmer"),
    (r"lebhafter|kräftiger|spritziger|kürzer(?: übersetzt)?", "livelier"),
    (r"schneller", "faster"),
    (r"leichter", "lighter"),
    (r"sanfter", "smoother"),
    (r"billiger|günstiger", "cheaper"),
    (r"ich (?:fahre|reise)(?: mit)?", "i ride"),
    (r"auf der (?:autobahn|landstraße)", "on the road"),
    (r"und (?:ich )?(?:will|möchte|hätte)(?: es| sie)?(?: gern)?", "and"),
    (r"(?:ich )?(?:will|möchte|hätte|brauche)(?: es| sie)?(?: gern)?", "i want"),
    (r"bei", "at"),
    (r"um(?= at)", "by"),
    (r"und", "and"),
    (r"aber", "but"),
    (r"zähne|zahn", "teeth"),
)
_COMPILED = tuple((re.compile(rf"(?<![\w/]){pattern}(?![\w/])"), put) for pattern, put in _PHRASES)
_LEFT = re.compile(r"<([^>]+)>")


def in_english(text: str) -> str:
    """The words of a wish in English and small letters, as far as they are German ones that are known."""
    said = " ".join(text.lower().split())
    for pattern, put in _COMPILED:
        said = pattern.sub(put, said)
    return _LEFT.sub(lambda word: _PART.get(word[1]) or _ORDINALS.get(word[1], word[1]), said)
