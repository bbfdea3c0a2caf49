"""Places of the program in a user's desktop: a service that starts it at login, a launcher with an icon.

Files of one user only, at the places that systemd and freedesktop.org give them; nothing needs another user's rights.
"""

from __future__ import annotations

import os
import sys
from importlib.resources import files
from pathlib import Path

from kitchenvoice.errors import Missing
from kitchenvoice.files import make_folder, write_out
from kitchenvoice.kitchen.folder import ENVIRONMENT

__all__ = [
    "add_launcher",
    "add_service",
    "program",
    "remove_launcher",
    "remove_service",
    "service_is_on",
]

_SERVICE = "kitchenvoice.service"
_RETRY_S = 30
"""Seconds between a failure and the next start: long enough for a driver to come back. Common practice, no source."""


def program() -> Path:
    """Return the command of this installation, where it stands beside its Python; its plain name elsewhere."""
    beside = Path(sys.executable).with_name("kitchenvoice")
    return beside if beside.is_file() else Path("kitchenvoice")


def add_service() -> Path:
    """Have systemd start listening at login, and again after a failure. Returns the unit. Raises: Missing."""
    unit, link = _unit(), _link()
    named = os.environ.get(ENVIRONMENT)
    place = f"Environment={_quoted(f'{ENVIRONMENT}={Path(named).absolute()}')}\n" if named else ""
    _write(
        unit,
        "[Unit]\n"
        "Description=kitchenvoice: leads a canning day by voice\n"
        "After=pipewire.service pulseaudio.service\n"
        "StartLimitIntervalSec=0\n\n"
        "[Service]\n"
        f"ExecStart={_quoted(str(program()))} start\n{place}"
        f"Restart=on-failure\nRestartSec={_RETRY_S}\nSuccessExitStatus=143\n"
        "RestartPreventExitStatus=2\n\n"
        "[Install]\nWantedBy=default.target\n",
    )
    make_folder(link.parent)
    link.unlink(missing_ok=True)
    link.symlink_to(unit)
    return unit


def remove_service() -> bool:
    """Undo that; tell whether there was anything to undo."""
    was = service_is_on() or _unit().exists()
    _link().unlink(missing_ok=True)
    _unit().unlink(missing_ok=True)
    return was


def service_is_on() -> bool:
    """True if it starts at login."""
    return _link().is_symlink()


def add_launcher() -> Path:
    """Put an entry with its icon into the desktop's menu. Returns the entry. Raises: Missing."""
    entry, icon = _entry(), _icon()
    _write(icon, files("kitchenvoice.app").joinpath("icon.svg").read_text("utf-8"))
    _write(
        entry,
        "[Desktop Entry]\nType=Application\nName=kitchenvoice\n"
        "Comment=Leads a canning day by voice\nComment[de]=Führt mit der Stimme durch den Einkochtag\n"
        f"Exec={_quoted(str(program()))} start\nIcon=kitchenvoice\nTerminal=true\nCategories=Utility;\n",
    )
    return entry


def remove_launcher() -> bool:
    """Undo that; tell whether there was anything to undo."""
    was = _entry().exists()
    _entry().unlink(missing_ok=True)
    _icon().unlink(missing_ok=True)
    return was


def _folder(variable: str, *default: str) -> Path:
    named = os.environ.get(variable, "")
    return Path(named) if Path(named).is_absolute() else Path.home().joinpath(*default)


def _unit() -> Path:
    return _folder("XDG_CONFIG_HOME", ".config") / "systemd" / "user" / _SERVICE


def _link() -> Path:
    return _unit().parent / "default.target.wants" / _SERVICE


def _entry() -> Path:
    return _folder("XDG_DATA_HOME", ".local", "share") / "applications" / "kitchenvoice.desktop"


def _icon() -> Path:
    icons = _folder("XDG_DATA_HOME", ".local", "share") / "icons" / "hicolor" / "scalable" / "apps"
    return icons / "kitchenvoice.svg"


def _quoted(text: str) -> str:
    """Quote a word as both systemd and a desktop entry read it; a percent sign is doubled."""
    for letter in ("\\", '"'):
        text = text.replace(letter, f"\\{letter}")
    return f'"{text.replace("%", "%%")}"'


def _write(path: Path, text: str) -> None:
    try:
        make_folder(path.parent)
        write_out(path, text.encode())
    except OSError as exc:
        raise Missing(f"{path} can't be written: {exc.strerror}. Make that folder your own, then try again.") from exc
