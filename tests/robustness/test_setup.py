"""The private environment: never taken for whole while it is not, however its making was broken off."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.robustness.standins import POINTS, ROOT, Checkout

_FAILED = "could not be set up; start again when the cause is mended"


@pytest.fixture
def checkout(tmp_path: Path) -> Checkout:
    return Checkout(tmp_path)


def started(told: subprocess.CompletedProcess[str], *words: str) -> None:
    """The program was started in a whole environment: it looks at every package itself."""
    assert (told.returncode, told.stdout) == (0, " ".join(["started", *words]) + "\n"), told.stderr


def refused(told: subprocess.CompletedProcess[str], *words: str) -> None:
    """The start ended in plain words, and nothing was started."""
    assert (told.returncode, told.stdout) == (1, "")
    assert "Traceback" not in told.stderr
    assert all(word in told.stderr for word in words), told.stderr


def other_pins(checkout: Checkout) -> None:
    """As after an update."""
    for pins in (checkout.project / "packaging" / "pins").iterdir():
        pins.write_text(pins.read_text().replace("numpy==", "numpy==9"))


def test_a_first_start_sets_up_and_the_next_does_not(checkout: Checkout) -> None:
    told = checkout.start("numbers", "--json")
    started(told, "numbers", "--json")
    assert told.stderr.count("\n") == 1
    assert "needs the network" in told.stderr
    again = checkout.start("numbers")
    started(again, "numbers")
    assert again.stderr == ""
    assert checkout.calls == 1


def test_what_lies_in_the_current_folder_is_not_started(checkout: Checkout) -> None:
    for name in ("gearplan", "numpy", "re", "venv", "pip", "importlib"):
        (checkout.folder / f"{name}.py").write_text("raise SystemExit('not this one')\n")
    started(checkout.start())


@pytest.mark.parametrize("point", POINTS)
@pytest.mark.parametrize("script", ["run", "prepare-tests"])
def test_a_failure_is_said_and_the_next_start_mends_it(checkout: Checkout, script: str, point: str) -> None:
    refused(checkout.start("--version", script=script, STAND_IN=f"fail {point}"), _FAILED)
    started(checkout.start("--version", script=script), "--version")


@pytest.mark.parametrize("point", POINTS)
def test_a_kill_inside_a_step_is_mended_by_the_next_start(checkout: Checkout, point: str) -> None:
    assert checkout.start(STAND_IN=f"kill {point}").returncode == -signal.SIGKILL
    started(checkout.start())


@pytest.mark.parametrize(
    ("script", "command"),
    [
        *(("run", command) for command in ("rm", "find", "mv", "sync")),
        *(("prepare-tests", command) for command in ("find", "sort", "cksum", "mv", "sync", "rm")),
    ],
)
def test_a_command_that_fails_is_said_and_the_next_start_mends_it(
    checkout: Checkout, script: str, command: str
) -> None:
    """As on a full disk; the program's packages are to be renewed, or the tools of the tests to be added."""
    checkout.start()
    if script == "run":
        other_pins(checkout)
    checkout.stand_in(command, "#!/bin/sh\nexit 1\n")
    refused(checkout.start(script=script), _FAILED)
    (checkout.commands / command).unlink()
    started(checkout.start(script=script))


@pytest.mark.parametrize(
    ("before", "script", "following"),
    [
        ("nothing", "run", "run"),
        ("other pins", "prepare-tests", "prepare-tests"),
        ("no tools of the tests", "prepare-tests", "run"),
    ],
)
def test_a_kill_before_any_line_is_mended_by_the_next_start(
    checkout: Checkout, before: str, script: str, following: str
) -> None:
    if before != "nothing":
        checkout.start()
    if before == "other pins":
        other_pins(checkout)
    checkout.keep()
    lines = checkout.lines(script)
    assert len(lines) > 10
    for line in lines:
        checkout.put_back()
        assert checkout.kill_before(line, script) == -signal.SIGKILL, f"line {line}"
        told = checkout.start(script=following)
        assert (told.returncode, told.stdout) == (0, "started\n"), f"line {line}: {told.stderr}"


def test_what_a_failed_set_up_of_an_earlier_version_left_is_mended(checkout: Checkout) -> None:
    """It stamped what it left, and every later start ended in a traceback."""
    checkout.start(STAND_IN="fail pip-half")
    (checkout.home / ".lock").unlink()
    (checkout.home / ".complete").write_text("1234567 4321\nPython 3.11.2")
    started(checkout.start())


def test_packages_that_pip_put_elsewhere_are_missed(checkout: Checkout) -> None:
    refused(checkout.start(STAND_IN_ELSEWHERE=str(checkout.folder / "elsewhere")), "pip did not put", _FAILED)
    started(checkout.start())


def test_without_network_the_tests_take_nothing_from_a_whole_environment(checkout: Checkout) -> None:
    checkout.start()
    refused(checkout.start(script="prepare-tests", STAND_IN="fail pip-asked"), _FAILED)
    assert checkout.start(script="prepare-tests", STAND_IN="kill pip-asked").returncode == -signal.SIGKILL
    started(checkout.start(STAND_IN="fail pip-asked"))
    assert checkout.calls == 1
    assert checkout.start(script="prepare-tests", STAND_IN="kill pip-half").returncode == -signal.SIGKILL
    refused(checkout.start(STAND_IN="fail pip-asked"), _FAILED)
    started(checkout.start())
    started(checkout.start(script="prepare-tests"))


def test_what_the_tests_set_up_serves_the_program(checkout: Checkout) -> None:
    for script in ("prepare-tests", "prepare-tests", "run"):
        started(checkout.start(script=script))
    assert checkout.calls == 1


def test_a_setting_that_no_package_depends_on_fetches_nothing(checkout: Checkout) -> None:
    checkout.start()
    with (checkout.project / "pyproject.toml").open("a") as file:
        file.write("\n[tool.another]\nwidth = 100\n")
    started(checkout.start(STAND_IN="fail venv-asked"))


def test_other_pins_are_fetched_into_an_empty_environment(checkout: Checkout) -> None:
    checkout.start(script="prepare-tests")
    other_pins(checkout)
    left = next(checkout.home.glob("lib/*/site-packages")) / "left-over.py"
    left.touch()
    started(checkout.start())
    assert not left.exists()
    started(checkout.start(script="prepare-tests"))
    assert checkout.calls == 3


def test_a_moved_checkout_starts_as_it_is_and_gets_the_tools_of_the_tests_anew(checkout: Checkout) -> None:
    """Their scripts name the folder."""
    checkout.start(script="prepare-tests")
    checkout.project = checkout.project.rename(checkout.folder / "My Checkout Ü (x)")
    old = next(checkout.home.glob("lib/*/site-packages")) / "old.py"
    old.touch()
    started(checkout.start())
    assert checkout.calls == 1
    started(checkout.start(script="prepare-tests"))
    assert checkout.calls == 2
    assert not old.exists()


def test_a_kill_while_the_old_environment_is_taken_away_leaves_none(checkout: Checkout) -> None:
    checkout.start(script="prepare-tests")
    checkout.project = checkout.project.rename(checkout.folder / "moved")
    checkout.stand_in("find", f'#!/bin/sh\nrm -r "{next(checkout.home.glob("lib/*/site-packages"))}"\nkill -9 0\n')
    assert checkout.start(script="prepare-tests").returncode == -signal.SIGKILL
    (checkout.commands / "find").unlink()
    started(checkout.start())


@pytest.mark.parametrize("how", ["gone", "a folder", "not executable", "ends at once", "another kind", "no settings"])
def test_a_python_that_does_not_serve_any_more_is_replaced(checkout: Checkout, how: str) -> None:
    checkout.start()
    python, stamp = checkout.home / "bin" / "python", checkout.home / ".whole"
    if how == "another kind":
        kind, rest = stamp.read_text().split("\n", 1)
        assert "cpython" in kind
        stamp.write_text(f"# .cpython-310-x86_64-linux-gnu.so\n{rest}")
    elif how == "no settings":
        (checkout.home / "pyvenv.cfg").unlink()
    else:
        python.unlink()
        if how == "gone":
            python.symlink_to(checkout.folder / "python3.10")
        elif how == "a folder":
            python.mkdir()
        else:
            python.write_text("#!/bin/sh\nexit 1\n")
            python.chmod(0o755 if how == "ends at once" else 0o644)
    started(checkout.start())
    assert checkout.calls == 2


def test_an_activated_environment_is_not_made_from_itself(checkout: Checkout) -> None:
    checkout.start()
    other_pins(checkout)
    paths = f"{checkout.home}/bin:{checkout.environment()['PATH']}"
    (checkout.home / "bin" / "python3").symlink_to("python")
    started(checkout.start(PATH=paths))


def test_an_environment_of_the_user_s_own_is_left_alone(checkout: Checkout) -> None:
    (checkout.home / "bin").mkdir(parents=True)
    own = checkout.home / "pyvenv.cfg"
    own.write_text("home = /usr/bin\n")
    refused(checkout.start(), "was not made by this command and is left alone")
    assert own.read_text() == "home = /usr/bin\n"


def test_a_checkout_that_cannot_be_written_has_its_environment_in_the_cache(checkout: Checkout, tmp_path: Path) -> None:
    checkout.stand_in("python3", (checkout.commands / "python3").read_text())
    script = checkout.project / "packaging" / "setup.sh"
    # Root may write everywhere, so the question is answered for it.
    script.write_text(script.read_text().replace('if [ -w "$project" ]', "if false"))
    started(checkout.start(XDG_CACHE_HOME=str(tmp_path / "cache")))
    assert (tmp_path / "cache" / "gearplan" / "venv" / ".whole").exists()
    assert not checkout.home.exists()


@pytest.fixture
def going(checkout: Checkout) -> Iterator[subprocess.Popen[str]]:
    """A start that waits inside of pip for the file "go"."""
    work = checkout.begin(STAND_IN="wait pip-half")
    try:
        while not (checkout.folder / "at").exists():
            assert work.poll() is None
            time.sleep(0.01)
        yield work
    finally:
        with contextlib.suppress(ProcessLookupError):
            os.killpg(work.pid, signal.SIGKILL)
        work.communicate()


def second(checkout: Checkout) -> subprocess.CompletedProcess[str]:
    """A second start; the first goes on when this one waits for it, or does not."""
    waits = checkout.folder / "waits"
    flock = shutil.which("flock")
    checkout.stand_in("flock", f'#!/bin/sh\n[ "$1" = -n ] || touch "{waits}"\nexec {flock} "$@"\n')
    work = checkout.begin()
    while not waits.exists() and work.poll() is None and checkout.calls == 1:
        time.sleep(0.01)
    (checkout.folder / "go").touch()
    out, said = work.communicate()
    return subprocess.CompletedProcess(work.args, work.returncode, out, said)


def test_of_two_starts_at_once_the_second_waits_for_the_work_of_the_first(
    checkout: Checkout, going: subprocess.Popen[str]
) -> None:
    told = second(checkout)
    started(told)
    assert "is being set up by another start; waiting for it" in told.stderr
    assert going.communicate()[0] == "started\n"
    assert checkout.calls == 1


def test_what_a_killed_start_left_running_does_not_get_in_the_way(
    checkout: Checkout, going: subprocess.Popen[str]
) -> None:
    going.kill()
    going.wait()
    told = second(checkout)
    started(told)
    assert "waiting for it" in told.stderr
    assert checkout.calls == 2


def test_where_no_lock_can_be_had_it_is_said(checkout: Checkout) -> None:
    checkout.stand_in("flock", "#!/bin/sh\nexit 1\n")
    told = checkout.start()
    started(told)
    assert "no lock can be had" in told.stderr


def test_nothing_is_left_beside_the_environment(checkout: Checkout) -> None:
    before = {path.name for path in checkout.project.iterdir()}
    checkout.start(STAND_IN="fail pip-half")
    checkout.start(script="prepare-tests")
    assert {path.name for path in checkout.project.iterdir()} == before | {".venv"}
    ignored = (ROOT / ".gitignore").read_text().split()
    assert "/.venv/" in ignored
