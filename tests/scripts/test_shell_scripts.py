"""The scripts that set up and start: sound shell, quiet with nothing to do, clear about what isn't available."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def shell_scripts() -> list[Path]:
    """Return every shell script of the project, by its first line."""
    files = [path for folder in ("scripts", ".ci") for path in sorted((ROOT / folder).iterdir()) if path.is_file()]
    first = {path: path.read_bytes().split(b"\n", 1)[0] for path in files}
    return [path for path in files if b"bash" in first[path] or first[path].endswith(b"/sh")]


SHELL = shell_scripts()
NAMES = [path.name for path in SHELL]


def test_the_verbs_are_all_there() -> None:
    assert {"setup", "test", "demo", "kitchen", "check", "install_packages", "run"} <= set(NAMES)


def test_a_script_is_shell_that_can_be_read(every: Callable[..., None]) -> None:
    def check(path: Path) -> None:
        ran = subprocess.run(["bash", "-n", path], capture_output=True, text=True, check=False)
        assert (ran.returncode, ran.stderr) == (0, "")

    every(check, SHELL)


def test_a_script_can_be_run_as_it_is(every: Callable[..., None]) -> None:
    def check(path: Path) -> None:
        assert path.name.startswith("_") or os.access(path, os.X_OK)

    every(check, SHELL)


if shutil.which("shellcheck"):  # "nice" in scripts/debian-packages.txt: may be missing

    @pytest.mark.parametrize("path", SHELL, ids=NAMES)
    def test_shellcheck_finds_nothing(path: Path) -> None:
        command = ["shellcheck", "-x", "-P", str(ROOT / "scripts"), str(path)]
        ran = subprocess.run(command, capture_output=True, text=True, check=False)
        assert ran.returncode == 0, ran.stdout


def test_every_debian_package_has_its_reason() -> None:
    for line in (ROOT / "scripts" / "debian-packages.txt").read_text().splitlines():
        if line and not line.startswith("#"):
            words, _, why = line.partition("#")
            assert why.strip(), line
            assert words.split()[1:] in ([], ["test"], ["nice"], ["bench"]), line


# ---------------------------------------------------------------- a set-up with stand-ins for python and apt

PYTHON = """\
#!/bin/bash
# Stands in for python: notes what it is asked, makes environments, installs as told, fails the runs that FAILS matches.
case $* in
  "-m venv"*) mkdir -p "${!#}/bin" && cp "$0" "${!#}/bin/python" && echo venv >>"$NOTES" ;;
  "-m pip install"*)
    lists=
    for word; do case $word in --requirement=* | .) word=${word##*/}; lists+=" ${word%.txt}" ;; esac; done
    echo "pip$lists" >>"$NOTES"
    [ -z "$PIP_FAILS" ] || { echo "pip's own words"; exit 1; }
    ;;
  *fetch-model*) echo fetch >>"$NOTES"; exit "${FETCH_STATUS:-0}" ;;
  "-m pytest"* | "-m tests."*)
    echo "run ${*:2}" >>"$NOTES"
    echo "printed by ${*:2}"
    case $* in $FAILS) exit 1 ;; esac
    ;;
  -V) echo "Python 3.11.9" ;;
esac
"""
APT = """\
#!/bin/bash
echo "apt-get ${*##-*}" | tr -s ' ' >>"$NOTES"
[ -z "$APT_FAILS" ] || { echo "E: Unable to locate package"; exit 100; }
seen=
for word; do
  [ -z "$seen" ] || echo "$word" >>"$THERE"
  [ "$word" != install ] || seen=1
done
"""
DPKG = """\
#!/bin/bash
if grep -qxF -- "${*: -1}" "$THERE"; then printf 'ii '; else exit 1; fi
"""
LINKED = (
    "bash",
    "env",
    "dirname",
    "mktemp",
    "tail",
    "sed",
    "rm",
    "cat",
    "awk",
    "id",
    "sha256sum",
    "mkdir",
    "cp",
    "flock",
)


FIRST = ["pip build typed", "pip ."]
ALL_PACKAGES = [*FIRST, "pip kitchen dev"]


@dataclass
class Machine:
    """A copy of the project in a folder with blanks, on a machine with stand-ins."""

    root: Path
    tools: Path
    notes: Path
    there: Path

    def environment(self, **more: str) -> dict[str, str]:
        """Return the scripts' environment variables."""
        known = {
            "PATH": str(self.tools),
            "HOME": str(self.root.parent),
            "NOTES": str(self.notes),
            "THERE": str(self.there),
            "TMPDIR": str(self.root.parent),
        }
        return known | more

    def run(self, script: str, *arguments: str, stdin: int = subprocess.DEVNULL, **environment: str) -> tuple[int, str]:
        """Return status and messages of a script, called from another folder."""
        ran = subprocess.run(
            [self.root / "scripts" / script, *arguments],
            cwd="/",
            env=self.environment(**environment),
            capture_output=True,
            text=True,
            timeout=60,
            check=False,
            stdin=stdin,
        )
        return ran.returncode, ran.stderr

    def noted(self) -> list[str]:
        """Return the stand-ins' calls since the last time."""
        lines = self.notes.read_text().splitlines()
        self.notes.write_text("")
        return lines


@pytest.fixture
def machine(tmp_path: Path) -> Machine:
    root = tmp_path / "kitchen voice"
    root.mkdir()
    shutil.copytree(ROOT / "scripts", root / "scripts", ignore=shutil.ignore_patterns("__pycache__", "bench"))
    (root / "pyproject.toml").write_text("[project]\n")
    (root / "scripts" / "debian-packages.txt").write_text("libears # why\nlibroom test # why\nlinter nice # why\n")
    tools = tmp_path / "tools"
    tools.mkdir()
    for name in (*LINKED, "grep", "tr"):
        (tools / name).symlink_to(shutil.which(name) or f"/absent/{name}")
    for name, text in (("python3.11", PYTHON), ("apt-get", APT), ("dpkg-query", DPKG)):
        (tools / name).write_text(text)
        (tools / name).chmod(0o755)
    (tools / "id").unlink()
    (tools / "id").write_text("#!/bin/bash\necho ${USER_ID:-0}\n")
    (tools / "id").chmod(0o755)
    for name in ("notes", "there"):
        (tmp_path / name).write_text("")
    return Machine(root, tools, tmp_path / "notes", tmp_path / "there")


def test_a_fresh_machine_gets_everything(machine: Machine) -> None:
    status, said = machine.run("setup")
    assert status == 0, said
    noted = machine.noted()
    assert noted[:3] == ["venv", *FIRST], "a typed session needs nothing else"
    assert noted[-2:] == ["pip kitchen dev", "fetch"]
    assert sorted(machine.there.read_text().split()) == ["libears", "libroom", "linter"]
    assert said.splitlines()[-1].startswith("Ready after ")
    assert "Installing the other Python packages" in said
    assert "done in" in said


def test_a_second_set_up_installs_nothing(machine: Machine) -> None:
    assert machine.run("setup")[0] == 0
    machine.noted()
    assert machine.run("setup")[0] == 0
    assert machine.noted() == ["fetch"], "the model is looked at each time, by its own script"


@pytest.mark.parametrize("path", ["pyproject.toml", "scripts/locked/dev.txt"])
def test_a_changed_list_of_requirements_is_installed(machine: Machine, path: str) -> None:
    assert machine.run("setup")[0] == 0
    (machine.root / path).write_text("# changed\n")
    machine.noted()
    assert machine.run("setup")[0] == 0
    assert machine.noted() == [*ALL_PACKAGES, "fetch"]


def test_a_project_that_was_moved_is_installed_again(machine: Machine) -> None:
    assert machine.run("setup")[0] == 0
    machine.noted()
    machine.root = machine.root.rename(machine.root.with_name("moved on"))
    assert machine.run("setup")[0] == 0
    assert "pip kitchen dev" in machine.noted()


def test_a_kitchen_gets_only_what_it_needs(machine: Machine) -> None:
    status, said = machine.run("setup", "--kitchen")
    assert status == 0
    assert r"kitchen\ voice/.venv/bin/kitchenvoice start --typed" in said.partition("Installing libears")[0]
    assert machine.there.read_text().split() == ["libears"]
    *first, packages, others, last = machine.noted()
    assert (first, others, last) == (["venv", *FIRST], "pip kitchen", "fetch")
    assert packages.endswith("install libears")
    assert machine.run("setup")[0] == 0
    assert "pip kitchen dev" in machine.noted()
    assert machine.run("setup", "--kitchen")[0] == 0
    assert machine.noted() == ["fetch"], "what tests need is more than what a kitchen needs"


def test_packages_that_cannot_be_had_are_named_at_the_end(machine: Machine) -> None:
    status, said = machine.run("setup", APT_FAILS="1")
    assert status == 3
    last = said.strip().splitlines()[-1]
    assert last == (
        "Could not have: the Debian packages libears libroom (as root: apt-get install libears libroom). "
        "Then run scripts/setup again."
    )
    assert machine.noted()[-1] == "fetch", "the rest is set up all the same"


def test_python_packages_that_cannot_be_had_end_the_set_up(machine: Machine) -> None:
    status, said = machine.run("setup", PIP_FAILS="1")
    assert status == 1
    assert "pip's own words" in said
    assert "Could not have: the Python packages" in said.strip().splitlines()[-1]
    assert "fetch" not in machine.noted()
    assert machine.run("setup")[0] == 0, "nothing of the failed try is taken for done"
    assert "pip kitchen dev" in machine.noted()


def test_a_model_that_cannot_be_had_is_named_at_the_end(machine: Machine) -> None:
    status, said = machine.run("setup", FETCH_STATUS="3")
    assert status == 3
    assert "Could not have: a model" in said.strip().splitlines()[-1]


def test_no_python_is_named(machine: Machine) -> None:
    (machine.tools / "python3.11").unlink()
    status, said = machine.run("setup")
    assert status == 1
    assert "Python 3.11 or newer" in said.strip().splitlines()[-1]


def test_without_root_and_sudo_the_command_for_root_is_told(machine: Machine) -> None:
    status, said = machine.run("install_packages", "libears", USER_ID="1000")
    assert (status, said.strip()) == (1, "There is no sudo here, so as root run: apt-get install libears")
    assert machine.noted() == []


def test_sudo_is_announced_and_never_waited_for_without_a_terminal(machine: Machine) -> None:
    sudo = machine.tools / "sudo"
    sudo.write_text('#!/bin/bash\necho "sudo $1" >>"$NOTES"\nshift\nexec "$@"\n')
    sudo.chmod(0o755)
    status, said = machine.run("install_packages", "libears", USER_ID="1000")
    assert status == 0
    assert "Using sudo to install Debian packages: libears" in said
    assert machine.noted()[0] == "sudo -n"


def test_another_system_is_told_what_to_install_by_hand(machine: Machine) -> None:
    (machine.tools / "apt-get").unlink()
    status, said = machine.run("install_packages", "libears")
    assert (status, said.strip()) == (1, "This isn't a Debian system, so install by hand what corresponds to: libears.")


def test_packages_that_are_there_are_left_alone(machine: Machine) -> None:
    machine.there.write_text("libears\n")
    assert machine.run("install_packages", "libears") == (0, "")
    assert machine.noted() == []


def test_two_set_ups_at_once_install_once(machine: Machine) -> None:
    command = [machine.root / "scripts" / "setup"]
    both = [subprocess.Popen(command, env=machine.environment(), stderr=subprocess.PIPE, text=True) for _ in range(2)]
    for process in both:
        process.communicate(timeout=60)
    assert [process.returncode for process in both] == [0, 0]
    noted = machine.noted()
    assert (noted.count("venv"), noted.count("pip kitchen dev"), noted.count("fetch")) == (1, 1, 2)


@pytest.mark.parametrize(
    ("script", "wanted"), [("demo", "demo --no-play"), ("kitchen", "start --no-play")], ids=["demo", "kitchen"]
)
def test_a_verb_sets_up_and_hands_its_arguments_on(machine: Machine, script: str, wanted: str) -> None:
    binary = machine.root / ".venv" / "bin" / "kitchenvoice"
    binary.parent.mkdir(parents=True)
    binary.write_text('#!/bin/bash\necho "kitchenvoice $*" >>"$NOTES"\nread -r line && exit 9\nexit 5\n')
    binary.chmod(0o755)
    assert machine.run(script, "--no-play")[0] == 5, "its own status; and nothing waited for input"
    noted = machine.noted()
    assert noted[-2:] == ["fetch", f"kitchenvoice {wanted}"]


def test_a_folder_as_standard_input_counts_as_none(tmp_path: Path) -> None:
    folder = os.open(tmp_path, os.O_RDONLY)
    ran = subprocess.run(["bash", "-c", f"source '{ROOT}/scripts/_lib.sh' && cat"], stdin=folder, check=False)
    os.close(folder)
    assert ran.returncode == 0


def test_a_demonstration_does_not_wait_for_a_pipe_that_says_nothing(machine: Machine) -> None:
    binary = machine.root / ".venv" / "bin" / "kitchenvoice"
    binary.parent.mkdir(parents=True)
    binary.write_text("#!/bin/bash\nread -r line && exit 9\nexit 5\n")
    binary.chmod(0o755)
    silent, kept_open = os.pipe()
    try:
        assert machine.run("demo", stdin=silent)[0] == 5
    finally:
        os.close(silent)
        os.close(kept_open)


def test_a_verb_stops_where_there_is_no_environment(machine: Machine) -> None:
    status, said = machine.run("demo", PIP_FAILS="1")
    assert status == 1
    assert "Could not have: the Python packages" in said.strip().splitlines()[-1]


# ---------------------------------------------------------------- the runs of all tests


@pytest.fixture
def tested(machine: Machine) -> Callable[..., tuple[int, str, list[str]]]:
    """Run scripts/test; return its status, output and commands."""
    (machine.tools / "nice").symlink_to(shutil.which("nice") or "/absent/nice")
    (machine.root / "scripts" / "check").write_text('#!/bin/bash\necho check >>"$NOTES"\n')

    def run(*arguments: str, fails: str = "") -> tuple[int, str, list[str]]:
        ran = subprocess.run(
            [machine.root / "scripts" / "test", *arguments],
            cwd="/", env=machine.environment(FAILS=fails), capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip
        return ran.returncode, ran.stdout, [line[4:] for line in machine.noted() if line.startswith("run ")]

    return run


def test_every_test_is_in_one_run_and_in_one_only(tested: Callable[..., tuple[int, str, list[str]]]) -> None:
    status, printed, runs = tested()
    assert status == 0
    assert [run for run in runs if run.startswith("tests.")] == ["tests.live.soak --minutes 3"]
    one, other, last, rest, live = (
        [word for word in run.split() if "tests/" in word]
        for mark in ("no:cacheprovider", "--ignore=", "=10 tests/live")
        for run in runs
        if mark in run
    )
    beside = [*one, *other, *last]
    assert {f"--ignore={folder}" for folder in (*beside, *live)} == set(rest)
    assert len(rest) == len(beside) + len(live) == len({*beside, *live})
    for folder in (*beside, *live):
        assert (ROOT / folder).is_dir(), folder
    with_sound = [run for run in runs if "no:cacheprovider" not in run]
    assert with_sound[-1].split()[-1] == "tests/live", "nothing else with sound runs beside it"
    assert all(f"printed by {run}" in printed.splitlines() for run in runs)


@pytest.mark.parametrize(
    "fails",
    ["*soak*", "*cacheprovider*card*", "*cacheprovider*wheel", "*cacheprovider*joined", "*--ignore*", "* tests/live"],
)
def test_one_run_that_fails_fails_them_all_and_stops_none(
    tested: Callable[..., tuple[int, str, list[str]]], fails: str
) -> None:
    status, _, runs = tested(fails=fails)
    assert status == 1
    assert len(runs) == 6


def test_what_is_asked_for_is_run_alone(tested: Callable[..., tuple[int, str, list[str]]]) -> None:
    assert tested("tests/process", "-k", "hold")[2] == ["pytest --durations=10 tests/process -k hold"]
    assert tested("tests/process", fails="*process*")[0] == 1
