"""What the commands say of themselves, as man page and completion; the changes in the forms that are asked for."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from email.utils import format_datetime
from xml.sax.saxutils import escape

#: Who is told to keep the package; there is no address.
MAINTAINER = "The Gearplan contributors <gearplan@localhost.localdomain>"


@dataclass(frozen=True, slots=True)
class Release:
    """One version in CHANGELOG.md."""

    version: str
    day: date
    intro: str
    points: tuple[str, ...]


def releases(changelog: str) -> tuple[Release, ...]:
    """The versions of a changelog, newest first; ValueError if one cannot be read."""
    found = []
    for part in changelog.split("\n## ")[1:]:
        head, _, body = part.partition("\n")
        version, _, day = head.partition(" – ")
        points = tuple(" ".join(point.split()) for point in re.findall(r"^- (.*(?:\n  .*)*)", body, re.MULTILINE))
        intro = " ".join(re.split(r"^- ", body, maxsplit=1, flags=re.MULTILINE)[0].split())
        found.append(Release(version, date.fromisoformat(day.strip()), intro, points))
    return tuple(found)


def seconds(release: Release) -> int:
    """The day of a version as seconds since 1970: the time that everything in its packages bears."""
    return int(datetime.combine(release.day, time(), UTC).timestamp())


def debian_changelog(made: tuple[Release, ...]) -> str:
    """The changes as Debian's changelog (deb-changelog(5))."""
    parts = []
    for one in made:
        lines = "".join(f"  * {point.rstrip(';.')}.\n" for point in one.points)
        day = format_datetime(datetime.combine(one.day, time(), UTC))
        parts.append(f"gearplan ({one.version}) unstable; urgency=medium\n\n{lines}\n -- {MAINTAINER}  {day}\n")
    return "\n".join(parts)


def metainfo_releases(made: tuple[Release, ...]) -> str:
    """The changes as the releases of an AppStream metainfo file."""
    parts = []
    for one in made:
        points = "".join(f"          <li>{escape(point.rstrip(';.'))}</li>\n" for point in one.points)
        parts.append(
            f'    <release version="{one.version}" date="{one.day}">\n      <description>\n'
            f"        <p>{escape(one.intro)}</p>\n        <ul>\n{points}        </ul>\n"
            "      </description>\n    </release>\n"
        )
    return "".join(parts)


def commands(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The commands of the program's parser by name."""
    return {name: command for one in _groups(parser) for name, command in one.choices.items()}


def _told(parser: argparse.ArgumentParser) -> dict[str, str]:
    """What each command is for, by name."""
    return {one.dest: one.help or "" for group in _groups(parser) for one in group._choices_actions}


def _groups(parser: argparse.ArgumentParser) -> Iterator[argparse._SubParsersAction[argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield action


def _options(parser: argparse.ArgumentParser) -> Iterator[argparse.Action]:
    for action in parser._actions:
        if not isinstance(action, argparse._SubParsersAction) and action.help is not argparse.SUPPRESS:
            yield action


def _roff(text: str) -> str:
    """A text for roff: nothing in it is a command, and a hyphen of an option stays one."""
    text = text.replace("\\", "\\e").replace("-", "\\-").replace("%%", "%")
    return "".join(f"\\&{line}" if line.startswith((".", "'")) else line for line in text.splitlines(keepends=True))


def _named(action: argparse.Action) -> str:
    """An option or argument with what it takes, as it is typed."""
    places = action.metavar if isinstance(action.metavar, str) else action.dest.upper()
    if not action.option_strings:
        return f"\\fI{_roff(places)}\\fR"
    names = ", ".join(f"\\fB{_roff(name)}\\fR" for name in action.option_strings)
    return names if action.nargs == 0 else f"{names} \\fI{_roff(places)}\\fR"


def man_page(parser: argparse.ArgumentParser, description: str, made: Release) -> str:
    """The page gearplan(1): each command with its options, as the commands say it."""
    lines = [
        f'.TH GEARPLAN 1 "{made.day}" "Gearplan {made.version}" "User Commands"',
        ".SH NAME",
        f"gearplan \\- {_roff(description)}",
        ".SH SYNOPSIS",
        ".B gearplan\n.RI [ FILE ]\n.br",
        ".B gearplan\n.I COMMAND\n.RI [ ARGUMENT ...]",
        ".SH DESCRIPTION",
        _roff(parser.description or ""),
        ".PP",
        "A file is a bike (\\fB*.bike.toml\\fR) or a circuit (\\fB*.circuit.toml\\fR).",
        ".SH OPTIONS",
    ]
    for action in _options(parser):
        lines += [".TP", _named(action), _roff(action.help or "")]
    lines.append(".SH COMMANDS")
    for name, command in commands(parser).items():
        arguments = " ".join(_named(action) for action in _options(command) if not action.option_strings)
        lines += [f'.SS "gearplan {name} {arguments}"', _roff(_told(parser)[name] or command.description or "")]
        for action in _options(command):
            if action.help and action.dest != "help":
                lines += [".TP", _named(action), _roff(action.help)]
    lines += [
        ".SH FILES",
        ".TP",
        "\\fI$XDG_CONFIG_HOME/gearplan\\fR, or \\fI~/.config/gearplan\\fR",
        "settings",
        ".TP",
        "\\fI$XDG_STATE_HOME/gearplan\\fR, or \\fI~/.local/state/gearplan\\fR",
        "work not yet saved, and the index of all bikes",
        ".SH EXIT STATUS",
        "0 if it was done; 2, with one line on standard error, if it cannot be done; 130 after Ctrl+C.",
    ]
    return "\n".join(lines) + "\n"


def bash_completion(parser: argparse.ArgumentParser) -> str:
    """Completion for bash: commands, the options of each, the choices of each option, else files."""
    cases, values = [], []
    for name, command in commands(parser).items():
        words = [text for action in _options(command) for text in action.option_strings]
        cases.append(f"    {name}) words='{' '.join(words)}' ;;")
        values += [
            f"    {name}:{text}) words='{' '.join(map(str, action.choices))}' ;;"
            for action in _options(command)
            for text in action.option_strings
            if action.choices
        ]
    top = " ".join([*commands(parser), *(text for action in _options(parser) for text in action.option_strings)])
    chosen = "\n".join(values) or "    :) ;;"
    listed = "\n".join(cases)
    return f"""# Completion of gearplan's commands; made from the commands themselves.
_gearplan() {{
  local word=${{COMP_WORDS[COMP_CWORD]}} before=${{COMP_WORDS[COMP_CWORD-1]}} command=${{COMP_WORDS[1]}} words=
  COMPREPLY=()
  if [ "$COMP_CWORD" -eq 1 ]; then
    mapfile -t COMPREPLY < <(compgen -W '{top}' -- "$word"; compgen -f -- "$word")
    return
  fi
  case $command:$before in
{chosen}
  esac
  if [ -z "$words" ] && [[ $word == -* ]]; then
    case $command in
{listed}
    esac
  fi
  if [ -n "$words" ]; then
    mapfile -t COMPREPLY < <(compgen -W "$words" -- "$word")
  else
    compopt -o filenames 2>/dev/null
    mapfile -t COMPREPLY < <(compgen -f -- "$word")
  fi
}}
complete -F _gearplan gearplan
"""
