"""The language in which Gearplan speaks: every text that a person reads is written in English and goes through here.

The language is that of the process: it is known before the first room is imported, so a constant may be a text. Texts
in other languages stand in resources/language, a gettext catalogue each; what a catalogue lacks stays English. Texts
of files, keys and what another program reads are no texts for people and do not come here.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from gettext import NullTranslations

_Text = TypeVar("_Text", bound=str)

#: The languages by their codes (ISO 639-1), each by its own name, as it is offered.
LANGUAGES = {"en": "English", "de": "Deutsch"}
#: Not languages: each text longer by some two fifths, to see whether a page has room, and the same in brackets, to see
#: which text was forgotten.
LONGER, PSEUDO = "qpl", "qps"
CATALOGUES = Path(__file__).parent.parent / "resources" / "language"
#: Where the language is asked for, in the order of the GNU gettext manual, 2.3 "Setting the Locale through Environment
#: Variables".
_ASKED_IN = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")
#: What separates the whole from its fraction: CLDR, "decimal" of the locale's numbers.
_DECIMAL_MARKS = {"de": ","}
_FIELD = re.compile(r"(\{[^{}]*(?:\{[^{}]*\}[^{}]*)*\})")
_VOWEL = re.compile(r"[aeiou]")


class _Pseudo:
    """Stands in for a catalogue: the same text, longer, between marks."""

    def __init__(self, marks: tuple[str, str]) -> None:
        self._marks = marks

    def gettext(self, text: str) -> str:
        parts = _FIELD.split(text)
        longer = "".join(p if p.startswith("{") else _VOWEL.sub(lambda v: v[0] * 2, p) for p in parts)
        return longer.join(self._marks)

    def ngettext(self, one: str, many: str, count: int) -> str:
        return self.gettext(one if count == 1 else many)

    def pgettext(self, _context: str, text: str) -> str:
        return self.gettext(text)


class _Spoken:
    """What is spoken now; one for the process."""

    language = "en"
    catalogue: NullTranslations | _Pseudo | None = None
    mark = "."


class _Number(float):
    """A number that is written with the language's own mark."""

    def __format__(self, spec: str) -> str:
        return decimal(super().__format__(spec))


def asked_for(environment: Mapping[str, str]) -> str:
    """The first language of a process's environment that there is a catalogue for; English if none."""
    for variable in _ASKED_IN:
        if asked := environment.get(variable):
            codes = [re.split(r"[_.@-]", code)[0].lower() for code in asked.split(":")]
            return next((code for code in codes if code in (*LANGUAGES, LONGER, PSEUDO)), "en")
    return "en"


def speak(language: str) -> None:
    """Speak a language from now on, before any other room is imported: texts of constants are told only once.

    An unknown code, or a catalogue that cannot be read, means English.
    """
    _Spoken.language, _Spoken.catalogue, _Spoken.mark = "en", None, "."
    if language in (LONGER, PSEUDO):
        _Spoken.language, _Spoken.catalogue = language, _Pseudo(("⟦", "⟧") if language == PSEUDO else ("", ""))
    elif language in LANGUAGES and language != "en":
        from gettext import GNUTranslations

        try:
            with (CATALOGUES / f"{language}.mo").open("rb") as file:
                _Spoken.catalogue = GNUTranslations(file)
        except OSError:
            return
        _Spoken.language, _Spoken.mark = language, _DECIMAL_MARKS.get(language, ".")


def spoken() -> str:
    """The code of the language that is spoken."""
    return _Spoken.language


def tr(text: str, /, **values: object) -> str:
    """A text in the spoken language, its {fields} filled in; a text without values is taken as it is, braces "
    "and all."""
    if _Spoken.catalogue is not None and text:
        # Of no text at all a catalogue tells what stands in its own head.
        text = _Spoken.catalogue.gettext(text)
    return text.format_map(_told(values)) if values else text


def trn(one: str, many: str, count: int, /, **values: object) -> str:
    """A text in the form that a count asks for in the spoken language; the count itself fills {n}."""
    if _Spoken.catalogue is not None:
        text = _Spoken.catalogue.ngettext(one, many, count)
    else:
        text = one if count == 1 else many
    return text.format_map(_told({"n": count, **values}))


def trc(context: str, text: str, /, **values: object) -> str:
    """A text whose English says two things: the context tells a translator, and the catalogue, which is meant."""
    if _Spoken.catalogue is not None:
        text = _Spoken.catalogue.pgettext(context, text)
    return text.format_map(_told(values)) if values else text


def marked(text: _Text) -> _Text:
    """A word that the program goes by and that is told elsewhere by `tr`: it stays, the catalogues have it."""
    return text


def decimal(text: str) -> str:
    """A number as Python writes it, with the decimal mark of the spoken language."""
    return text if _Spoken.mark == "." else text.replace(".", _Spoken.mark)


def _told(values: dict[str, object]) -> dict[str, object]:
    if _Spoken.mark == ".":
        return values
    return {name: _Number(value) if isinstance(value, float) else value for name, value in values.items()}


speak(asked_for(os.environ))
