"""What stands beside the installed program: made from the commands and the changes, and in agreement with itself."""

from __future__ import annotations

import configparser
import re
import shutil
import subprocess
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

import pytest
from making import papers, shared

from gearplan import __version__, cli
from gearplan.bike.files.circuitfile import SUFFIX as CIRCUIT
from gearplan.bike.files.folder import SUFFIX as BIKE
from gearplan.commands import COMMANDS

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def share(tmp_path_factory: pytest.TempPathFactory) -> Path:
    prefix = tmp_path_factory.mktemp("prefix")
    shared.make(ROOT, prefix)
    return prefix / "share"


def looked_at(name: str, *arguments: object) -> subprocess.CompletedProcess[str]:
    """What one of the desktop's validators says; skipped, and said to be, where it is not."""
    if shutil.which(name) is None:
        pytest.skip(f"{name} is not on this machine; packaging/build --check asks it")
    return subprocess.run([name, *map(str, arguments)], capture_output=True, text=True, check=False)


def test_the_version_stands_in_one_place() -> None:
    """CHANGELOG.md tells of it, and nothing is built if that is another."""
    assert shared.current(ROOT)[0].version == __version__
    others = [path for path in (ROOT / "packaging").rglob("*") if path.suffix in {".py", ".desktop", ".xml", ".sh", ""}]
    told = [path for path in others if path.is_file() and __version__ in path.read_text(encoding="utf-8")]
    assert not [path for path in told if path.name != "gearplan.spec"]
    assert __version__ not in (ROOT / "pyproject.toml").read_text(encoding="utf-8").split("[project.optional")[0]


def test_changes_are_read() -> None:
    text = (
        "# Changes\n\n## 1.2 – 2027-02-03\n\nWords\nand more:\n\n- one thing;\n- another\n  thing.\n\n"
        "## 1.1 – 2027-01-01\n\n- x\n"
    )
    new, old = papers.releases(text)
    assert new == papers.Release("1.2", date(2027, 2, 3), "Words and more:", ("one thing;", "another thing."))
    assert (old.version, old.points) == ("1.1", ("x",))
    # GNU date: date -u -d 2027-02-03 +%s
    assert papers.seconds(new) == 1801612800
    assert "gearplan (1.2) unstable; urgency=medium\n\n  * one thing.\n  * another thing.\n" in papers.debian_changelog(
        (new, old)
    )


def test_the_man_page_tells_every_command_and_option() -> None:
    page = papers.man_page(cli.parser(), "words", shared.current(ROOT)[0])
    plain = page.replace("\\-", "-").replace("\\fB", "").replace("\\fR", "").replace("\\fI", "")
    parts = re.split(r'^\.SS "gearplan (\w+)', plain, flags=re.MULTILINE)
    assert tuple(parts[1::2]) == COMMANDS
    for name, part in zip(parts[1::2], parts[2::2], strict=True):
        for action in papers.commands(cli.parser())[name]._actions:
            if action.dest != "help":
                assert all(option in part for option in action.option_strings)
                assert action.help is None or action.help.split("%")[0][:30].split("\\")[0] in part


def test_the_man_page_is_sound(share: Path) -> None:
    told = looked_at("man", "--warnings", "-E", "UTF-8", "-l", "-Tutf8", "-Z", share / "man" / "man1" / "gearplan.1.gz")
    assert (told.returncode, told.stderr) == (0, "")


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        (["gearplan", "numb"], ["numbers"]),
        (["gearplan", "--ver"], ["--version"]),
        (["gearplan", "numbers", "--fr"], ["--front"]),
        (["gearplan", "numbers", "--circuit"], []),
        (["gearplan", "bikes", "--sort", "chain"], ["chain-due"]),
        (["gearplan", "numbers", "min"], ["mine.bike.toml"]),
        (["gearplan", "min"], ["mine.bike.toml"]),
    ],
)
def test_completion_offers_what_the_commands_take(
    words: list[str], offered: list[str], share: Path, tmp_path: Path
) -> None:
    (tmp_path / "mine.bike.toml").touch()
    typed = " ".join(f"'{word}'" for word in words)
    code = f"""source '{share}/bash-completion/completions/gearplan'
COMP_WORDS=({typed}) COMP_CWORD={len(words) - 1}; _gearplan; printf '%s\\n' "${{COMPREPLY[@]}}" """
    told = subprocess.run(["bash", "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert (told.stdout.split(), told.stderr) == (offered, "")


def test_entry_file_types_and_metainfo_agree(share: Path) -> None:
    entry = configparser.RawConfigParser()
    entry.read(share / "applications" / "gearplan.desktop", encoding="utf-8")
    told = entry["Desktop Entry"]
    space = {"m": "http://www.freedesktop.org/standards/shared-mime-info"}
    types = ElementTree.parse(share / "mime" / "packages" / "gearplan.xml").getroot()
    metainfo = ElementTree.parse(share / "metainfo" / "gearplan.metainfo.xml").getroot()
    known = {
        kind.attrib["type"]: [glob.attrib["pattern"] for glob in kind.findall("m:glob", space)]
        for kind in types.findall("m:mime-type", space)
    }
    assert known == {"application/x-gearplan-bike": [f"*{BIKE}"], "application/x-gearplan-circuit": [f"*{CIRCUIT}"]}
    assert told["MimeType"].rstrip(";").split(";") == list(known)
    assert [one.text for one in metainfo.iter("mediatype")] == list(known)
    assert metainfo.findtext("launchable") == "gearplan.desktop"
    assert told["Exec"] == "gearplan %f"
    assert told["Icon"] == "gearplan"
    newest = next(metainfo.iter("release"))
    assert newest.attrib["version"] == __version__


def test_the_icon_has_the_usual_sizes(share: Path) -> None:
    for size in (16, 22, 24, 32, 48, 64, 128, 256, 512):
        data = (share / "icons" / "hicolor" / f"{size}x{size}" / "apps" / "gearplan.png").read_bytes()
        # PNG (ISO/IEC 15948): width and height follow the IHDR chunk's name.
        assert data[12:16] == b"IHDR"
        assert (int.from_bytes(data[16:20]), int.from_bytes(data[20:24])) == (size, size)
    drawn = share / "icons" / "hicolor" / "scalable" / "apps" / "gearplan.svg"
    assert drawn.read_bytes() == (ROOT / "gearplan" / "resources" / "icons" / "gearplan.svg").read_bytes()


def test_the_desktop_s_validator_takes_the_entry(share: Path) -> None:
    told = looked_at("desktop-file-validate", share / "applications" / "gearplan.desktop")
    assert (told.returncode, told.stdout) == (0, "")


def test_the_store_s_validator_takes_the_metainfo(share: Path) -> None:
    told = looked_at("appstreamcli", "validate", "--no-net", share / "metainfo" / "gearplan.metainfo.xml")
    assert told.returncode == 0, told.stdout


def test_the_file_types_are_known_where_they_are_installed(share: Path, tmp_path: Path) -> None:
    """By the desktop's own data base, with nothing else in it."""
    mime = tmp_path / "mime"
    shutil.copytree(share / "mime", mime)
    told = looked_at("update-mime-database", mime)
    assert told.returncode == 0, told.stderr
    globs = (mime / "globs2").read_text(encoding="utf-8")
    assert f"80:application/x-gearplan-bike:*{BIKE}" in globs
    assert f"80:application/x-gearplan-circuit:*{CIRCUIT}" in globs
