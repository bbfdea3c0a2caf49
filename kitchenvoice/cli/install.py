"""`kitchenvoice autostart`, `launcher`, `update`, `uninstall`: the program's place on this machine."""

from __future__ import annotations

import shutil
import signal
import subprocess
import sys
from pathlib import Path

import click

from kitchenvoice.errors import BadInput, Missing
from kitchenvoice.terminal import Printer

__all__ = ["autostart_command", "launcher_command", "uninstall_command", "update_command"]

_ROOT = Path(__file__).parents[2]
_STANDARD_ERROR = 2
_MADE_ANEW = ("cache", "models")
"""Folders of the kitchen's that hold nothing of the cook's: a set-up makes them again."""


@click.command("autostart")
@click.argument("what", type=click.Choice(["on", "off"]), required=False)
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def autostart_command(what: str | None, as_json: bool) -> int:
    """Listen from login on: on or off. Starts again after a failure; without a word it tells which."""
    from kitchenvoice.app import desktop

    printer = Printer(True if as_json else None)
    if what == "on":
        if shutil.which("systemctl") is None:
            raise Missing(f"There is no systemd here. Have your desktop start this at login: {desktop.program()} start")
        unit = desktop.add_service()
        _reload()
        told = f"It listens from your next login on ({unit}). Now: systemctl --user start kitchenvoice."
    elif what == "off":
        was = desktop.remove_service()
        _reload()
        told = "It doesn't start at login any more. A session that runs goes on." if was else "It was off already."
    else:
        told = f"It is {'on' if desktop.service_is_on() else 'off'}. kitchenvoice autostart on, or off, changes it."
    printer.put({"autostart": desktop.service_is_on(), "text": told}, told)
    return 0


@click.command("launcher")
@click.argument("what", type=click.Choice(["on", "off"]))
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def launcher_command(what: str, as_json: bool) -> int:
    """Put kitchenvoice into the desktop's menu, or take it out."""
    from kitchenvoice.app import desktop

    if what == "on":
        told = f"kitchenvoice is in your desktop's menu ({desktop.add_launcher()})."
    else:
        told = "It is out of the menu." if desktop.remove_launcher() else "It was not in the menu."
    Printer(True if as_json else None).put({"launcher": what == "on", "text": told}, told)
    return 0


@click.command("update")
@click.option(
    "--from",
    "wheel",
    type=click.Path(path_type=Path, dir_okay=False),
    help="A wheel of the new version.",
)
def update_command(wheel: Path | None) -> int:
    """Bring the newer version; profile and record stay as they are."""
    if wheel is not None:
        if not wheel.is_file() or wheel.suffix != ".whl":
            raise BadInput(f"{wheel} is no wheel. Name a file that ends in .whl.")
        return _run([sys.executable, "-m", "pip", "install", "--upgrade", str(wheel)])
    from kitchenvoice.app.desktop import program

    setup = _ROOT / "scripts" / "setup"
    if not setup.is_file():
        raise BadInput("It was installed from a wheel. Name a newer one: kitchenvoice update --from FILE.whl")
    if (_ROOT / ".git").exists() and _run(["git", "-C", str(_ROOT), "pull", "--ff-only"]):
        raise Missing(f"The newer version can't be had (see above why). Look at {_ROOT} with git status.")
    return _run([str(setup), "--kitchen"]) or _run([str(program()), "--version"])


@click.command("uninstall")
@click.option("--yes", is_flag=True, help="Don't ask.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def uninstall_command(yes: bool, as_json: bool) -> int:
    """Take the program off; the profile and the record stay."""
    from kitchenvoice.app import desktop
    from kitchenvoice.kitchen.folder import home_path

    kept = home_path()
    if not yes and not click.confirm(f"Uninstall kitchenvoice? Profile and record stay in {kept}", err=True):
        return 0
    signal.signal(signal.SIGHUP, signal.SIG_IGN)  # a terminal that is closed must not leave half of it
    desktop.remove_service()
    desktop.remove_launcher()
    for name in _MADE_ANEW:
        shutil.rmtree(kept / name, ignore_errors=True)
    link = Path.home() / ".local" / "bin" / "kitchenvoice"
    if link.is_symlink() and link.readlink().is_relative_to(_ROOT):
        link.unlink()
    if (_ROOT / "scripts" / "setup").is_file():
        _remove_whole(_ROOT / ".venv")
        rest = f"To be rid of the rest, delete {_ROOT}"
    else:
        _run([sys.executable, "-m", "pip", "uninstall", "--quiet", "--yes", "kitchenvoice"])
        rest = f"To be rid of the rest, delete {sys.prefix}"
    told = f"Uninstalled. Your profile and your record are in {kept}. {rest}."
    Printer(True if as_json else None).put({"uninstalled": True, "kept": str(kept), "text": told}, told)
    return 0


def _remove_whole(folder: Path) -> None:
    """Remove a folder so that at any moment it is whole or gone; what a broken removal leaves, the next one takes."""
    gone = folder.with_name(f"{folder.name}.removed")
    shutil.rmtree(gone, ignore_errors=True)
    if folder.exists():
        folder.rename(gone)
    shutil.rmtree(gone, ignore_errors=True)


def _reload() -> None:
    """Let a running systemd read its files anew; one that doesn't run reads them at login."""
    if shutil.which("systemctl") is not None:
        subprocess.run(["systemctl", "--user", "daemon-reload"], capture_output=True, check=False)


def _run(command: list[str]) -> int:
    """Run a command, its output to standard error; return its status, 3 for one that can't be run."""
    try:
        return subprocess.run(command, stdout=_STANDARD_ERROR, check=False).returncode
    except OSError as exc:
        raise Missing(f"{command[0]} can't be run: {exc.strerror}. Install it, then say it again.") from exc
