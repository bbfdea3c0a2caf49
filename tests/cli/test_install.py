"""The program's place on the machine: starts at login, stands in the menu, goes again and leaves the record."""

from __future__ import annotations

import configparser
import json
import os
import shlex
import shutil
import signal
import stat
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
from click.testing import CliRunner

from kitchenvoice.app import desktop
from kitchenvoice.cli import install


@pytest.fixture
def user(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A user's own folder, and a program of which nothing real is touched."""
    for name, folder in (("XDG_CONFIG_HOME", "config"), ("XDG_DATA_HOME", "data")):
        monkeypatch.setenv(name, str(tmp_path / folder))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("KITCHENVOICE_HOME", str(tmp_path / "my kitchen 100%"))
    monkeypatch.setattr(install, "_ROOT", tmp_path / "tree")
    monkeypatch.setattr(install, "_reload", lambda: None)
    return tmp_path


def run(command: object, *words: str) -> tuple[int, dict[str, object]]:
    """Run a command; return its exit code and what it printed."""
    ended = CliRunner().invoke(command, list(words), standalone_mode=False)  # type: ignore[arg-type]
    if ended.exception is not None:
        raise ended.exception
    return ended.return_value or 0, json.loads(ended.stdout)


def unit_of(user: Path) -> Path:
    return user / "config" / "systemd" / "user" / "kitchenvoice.service"


def link_of(user: Path) -> Path:
    return unit_of(user).parent / "default.target.wants" / "kitchenvoice.service"


def test_it_starts_at_login_and_again_after_a_failure(user: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda name: f"/usr/bin/{name}")
    assert run(install.autostart_command)[1]["autostart"] is False
    assert run(install.autostart_command, "on")[1]["autostart"] is True
    assert link_of(user).resolve() == unit_of(user)
    unit = configparser.ConfigParser(interpolation=None, strict=True)
    unit.optionxform = str  # type: ignore[assignment, method-assign]
    unit.read(unit_of(user))
    assert unit["Service"]["ExecStart"].endswith('kitchenvoice" start')
    assert unit["Service"]["Restart"] == "on-failure"
    assert unit["Service"]["SuccessExitStatus"] == str(128 + signal.SIGTERM)  # asked to end while it begins
    assert unit["Service"]["Environment"] == f'"KITCHENVOICE_HOME={user}/my kitchen 100%%"'
    assert unit["Install"]["WantedBy"] == "default.target"
    assert run(install.autostart_command, "on")[1]["autostart"] is True  # twice does no harm
    assert run(install.autostart_command, "off")[1]["autostart"] is False
    assert not unit_of(user).exists()
    assert not link_of(user).is_symlink()
    assert "off already" in str(run(install.autostart_command, "off")[1]["text"])


def test_nobody_else_may_write_where_it_starts_from(user: Path) -> None:
    before = os.umask(0)
    try:
        desktop.add_service()
    finally:
        os.umask(before)
    made = [user / "config", unit_of(user).parent, link_of(user).parent, unit_of(user)]
    assert [stat.S_IMODE(path.stat().st_mode) & 0o077 for path in made] == [0, 0, 0, 0]


def test_without_systemd_it_says_what_the_desktop_is_to_start(user: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shutil.which", lambda _: None)
    with pytest.raises(install.Missing, match=r"Have your desktop start this at login: .*kitchenvoice start"):
        run(install.autostart_command, "on")
    assert not unit_of(user).exists()


def test_it_stands_in_the_menu_with_its_icon(user: Path) -> None:
    run(install.launcher_command, "on")
    entry = configparser.ConfigParser(interpolation=None)
    entry.read(user / "data" / "applications" / "kitchenvoice.desktop")
    launcher = entry["Desktop Entry"]
    assert (launcher["type"], launcher["name"], launcher["terminal"]) == ("Application", "kitchenvoice", "true")
    assert launcher["exec"].endswith('kitchenvoice" start')
    icon = user / "data" / "icons" / "hicolor" / "scalable" / "apps" / f"{launcher['icon']}.svg"
    assert ET.fromstring(icon.read_text("utf-8")).tag == "{http://www.w3.org/2000/svg}svg"
    assert run(install.launcher_command, "off")[1]["text"] == "It is out of the menu."
    assert not icon.exists()


def test_a_folder_that_cannot_be_written_is_named(user: Path) -> None:
    (user / "config").write_text("a file")
    with pytest.raises(install.Missing, match=r"kitchenvoice\.service can't be written"):
        desktop.add_service()


def test_uninstalling_keeps_profile_and_record(user: Path) -> None:
    kitchen = user / "my kitchen 100%"
    for name in ("cache/graph", "models/ear/final.mdl", "record", "profile.toml", "backups/record"):
        (kitchen / name).parent.mkdir(parents=True, exist_ok=True)
        (kitchen / name).write_text(name)
    for name in ("scripts/setup", ".venv/bin/python"):
        (user / "tree" / name).parent.mkdir(parents=True, exist_ok=True)
        (user / "tree" / name).write_text("")
    command = user / ".local" / "bin" / "kitchenvoice"
    command.parent.mkdir(parents=True)
    command.symlink_to(user / "tree" / ".venv" / "bin" / "kitchenvoice")
    desktop.add_service()
    desktop.add_launcher()
    code, told = run(install.uninstall_command, "--yes")
    assert (code, told["kept"]) == (0, str(kitchen))
    left = {str(path.relative_to(user)) for path in user.rglob("*") if path.is_file()}
    own = {f"{kitchen.name}/{name}" for name in ("record", "profile.toml", "backups/record")}
    assert not command.is_symlink()
    assert left == {*own, "tree/scripts/setup"}


def test_an_uninstall_cut_short_leaves_no_half_an_environment(user: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    python = user / "tree" / ".venv" / "bin" / "python"
    for file in (user / "tree" / "scripts" / "setup", python):
        file.parent.mkdir(parents=True)
        file.write_text("")
    removed, was = shutil.rmtree, signal.getsignal(signal.SIGHUP)

    def removed_in_part(folder: Path, **_: object) -> None:
        os.kill(os.getpid(), signal.SIGHUP)  # the terminal is closed
        if folder.exists() and folder.is_relative_to(user / "tree"):
            raise KeyboardInterrupt

    monkeypatch.setattr(shutil, "rmtree", removed_in_part)
    try:
        CliRunner().invoke(install.uninstall_command, ["--yes"])
        assert not python.parent.parent.exists()
        monkeypatch.setattr(shutil, "rmtree", removed)
        assert run(install.uninstall_command, "--yes")[1]["uninstalled"] is True
    finally:
        signal.signal(signal.SIGHUP, was)
    assert [path.name for path in (user / "tree").iterdir()] == ["scripts"]


def test_without_a_yes_nothing_is_uninstalled(user: Path) -> None:
    desktop.add_launcher()
    ended = CliRunner().invoke(install.uninstall_command, input="n\n", standalone_mode=False)
    assert ended.exception is None
    assert (user / "data" / "applications" / "kitchenvoice.desktop").exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [((), "Name a newer one: kitchenvoice update --from FILE.whl"), (("--from", "nothere.whl"), "ends in .whl")],
)
def test_an_update_that_has_nothing_to_bring_says_what_to_name(user: Path, words: tuple[str, ...], says: str) -> None:
    with pytest.raises(install.BadInput, match=says):
        run(install.update_command, *words)


def test_an_update_of_a_work_tree_is_its_set_up(user: Path) -> None:
    setup = user / "tree" / "scripts" / "setup"
    setup.parent.mkdir(parents=True)
    setup.write_text(f'#!/bin/sh\necho "$@" >{user}/asked\n')
    setup.chmod(0o755)
    ended = CliRunner().invoke(install.update_command, [], standalone_mode=False)
    assert ended.return_value == 0
    assert (user / "asked").read_text().strip() == "--kitchen"


def test_the_program_is_the_command_beside_its_python() -> None:
    found = desktop.program()
    assert found == Path("kitchenvoice") or os.access(found, os.X_OK)
    assert sys.prefix in str(found) or not found.is_absolute()


def test_a_question_without_anybody_to_answer_changes_nothing(user: Path) -> None:
    command = f"exec {shlex.quote(sys.executable)} -m kitchenvoice uninstall <&- 2>&-"
    done = subprocess.run(["sh", "-c", command], stdout=subprocess.PIPE, check=False, timeout=60)
    assert (done.returncode, done.stdout) == (130, b"")
    assert user.is_dir()
