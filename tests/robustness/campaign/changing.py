"""Inputs that are almost right: a good file, changed in a few places at its numbers, words, lines or bytes."""

from __future__ import annotations

import math
import random
import re
from collections.abc import Callable, Sequence

#: What stands in place of a number or a word.
ODD: tuple[str, ...] = (
    *("0", "-0", "-1", "1", "00", "1e308", "-1e308", "1e-308", "5e-324", "1e999", "nan", "inf", "-inf", "9" * 400),
    *("0x10", "1_000", "1,5", "1.234,5", "1.5.5", ".", ",", "-", "+", "\u22125", "\u0663", "½", "1e", "e5"),
    *("2147483648", "18446744073709551616", "1970-01-01", "2024-02-30T25:61:61Z", "23:59:60", "true", "[]", "{}"),
    *("[[]]", "''", '"'),
    *("", " ", "\t", "\n", "\r", "\x00", "\x1b[2J", "\u2028", "\ufeff", "\u202e", "\U0001f3cd", "ß", "é", "e\u0301"),
    *("<b>x</b>", "&amp;", "&#0;", "<![CDATA[", "-->", "=1+1", "@x", "../../x", "%s%n", "x" * 3000, "'" * 50, "[" * 60),
)
_TOKEN = re.compile(r"-?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?|\w+|\s+|.", re.DOTALL)
_NUMBER = re.compile(r"-?\d")
_ENCODINGS = (*["utf-8"] * 40, "utf-8-sig", "utf-16", "utf-16-le", "latin-1", "cp1252", "utf-7")
#: An input is no longer than this.
_LONGEST = 200_000


def changed_text(chance: random.Random, text: str) -> bytes:
    """A text with a few changes, in one of the encodings that files come in."""
    for _ in range(chance.choice((1, 1, 1, 1, 2, 2, 3, 8))):
        text = chance.choice(_TEXT)(chance, text)[:_LONGEST]
    encoding = chance.choice(_ENCODINGS)
    data = text.encode(encoding, errors="replace")
    return changed_bytes(chance, data) if chance.random() < 0.05 else data


def changed_bytes(chance: random.Random, data: bytes) -> bytes:
    """Bytes with a few changes."""
    for _ in range(chance.choice((1, 1, 2, 4, 20))):
        data = chance.choice(_BYTES)(chance, data)[:_LONGEST]
    return data


def _at(chance: random.Random, parts: Sequence[object]) -> int:
    return chance.randrange(max(len(parts), 1))


def _odd_token(chance: random.Random, text: str) -> str:
    """A number or word becomes something odd; numbers are meant first."""
    tokens = _TOKEN.findall(text)
    numbers = [at for at, token in enumerate(tokens) if _NUMBER.match(token)]
    at = chance.choice(numbers) if numbers and chance.random() < 0.7 else _at(chance, tokens)
    tokens[at : at + 1] = [chance.choice(ODD)]
    return "".join(tokens)


def _near_number(chance: random.Random, text: str) -> str:
    """A number becomes another number: scaled, negative, or any."""
    found = list(re.finditer(r"-?\d+(?:\.\d+)?", text))
    if not found:
        return text
    number = chance.choice(found)
    value = float(number[0]) * chance.choice((0, -1, 1e-9, 1e-3, 0.5, 1.001, 2, 10, 1e3, 1e6, 1e12, 1e300))
    said = (
        repr(value) if chance.random() < 0.6 or not math.isfinite(value) else str(round(min(max(value, -1e30), 1e30)))
    )
    return text[: number.start()] + said + text[number.end() :]


def _moved_token(chance: random.Random, text: str) -> str:
    """A token goes, comes twice, or takes another's place."""
    tokens = _TOKEN.findall(text)
    at, other = _at(chance, tokens), _at(chance, tokens)
    if tokens:
        tokens[at : at + 1] = chance.choice(([], tokens[at : at + 1] * 2, tokens[other : other + 1]))
    return "".join(tokens)


def _moved_lines(chance: random.Random, text: str) -> str:
    """Some lines go, come again, are shuffled, or many times over."""
    lines = text.splitlines(keepends=True)
    first, last = sorted((_at(chance, lines), _at(chance, lines)))
    some = lines[first : min(last, first + 30) + 1]
    shuffled = chance.sample(some, len(some))
    lines[first : first + len(some)] = chance.choice(([], some * 2, shuffled, some * chance.randrange(2, 200)))
    return "".join(lines)


def _cut(chance: random.Random, text: str) -> str:
    """It breaks off, or begins late."""
    at = _at(chance, text)
    return text[:at] if chance.random() < 0.7 else text[at:]


def _other_signs(chance: random.Random, text: str) -> str:
    """One sign becomes another everywhere: delimiters, quotes, brackets, ends of lines."""
    of, to = chance.choice(",;\t.=\"'[]{}<>\n /-:"), chance.choice((*",;\t.=\"'[]{}<> ", "", "\r\n", "\r", "\n\n"))
    return text.replace(of, to) if chance.random() < 0.4 else text.replace(of, to, chance.randrange(1, 4))


def _inserted(chance: random.Random, text: str) -> str:
    at = _at(chance, text)
    return text[:at] + chance.choice(ODD) * chance.choice((1, 1, 1, 5, 40)) + text[at:]


def _one_for_all(chance: random.Random, text: str) -> str:
    """A column, or a whole file, of one value."""
    odd = chance.choice(ODD[:40])
    share = chance.choice((0.1, 0.5, 1.0))
    return re.sub(r"\d+(?:\.\d+)?", lambda number: odd if chance.random() < share else number[0], text)


_TEXT: tuple[Callable[[random.Random, str], str], ...] = (
    *(_odd_token, _odd_token, _odd_token, _near_number, _near_number, _near_number, _moved_token, _moved_lines),
    *(_moved_lines, _cut, _other_signs, _inserted, _one_for_all),
)


def _flipped(chance: random.Random, data: bytes) -> bytes:
    made = bytearray(data)
    for _ in range(chance.choice((1, 1, 4, 16))):
        if made:
            made[_at(chance, made)] = chance.choice((0, 255, 0x80, 0x7F, chance.randrange(256)))
    return bytes(made)


def _dropped(chance: random.Random, data: bytes) -> bytes:
    at = _at(chance, data)
    return data[:at] + data[at + chance.choice((1, 2, 8, 1000)) :]


def _doubled(chance: random.Random, data: bytes) -> bytes:
    at = _at(chance, data)
    return data[:at] + data[at : at + chance.choice((1, 4, 100))] * chance.choice((2, 20)) + data[at:]


def _broken_off(chance: random.Random, data: bytes) -> bytes:
    return data[: _at(chance, data)]


_BYTES: tuple[Callable[[random.Random, bytes], bytes], ...] = (
    *(_flipped, _flipped, _flipped, _dropped, _doubled, _broken_off),
)
