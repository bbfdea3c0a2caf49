"""Shared by the commands of the record: its place, how it is opened, how files are written."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kitchenvoice.cli.short_text import text

if TYPE_CHECKING:
    from kitchenvoice.logbook.report.records import Logbook
    from kitchenvoice.terminal import Printer

__all__ = [
    "food_id",
    "food_option",
    "food_words",
    "json_option",
    "kitchen_folder",
    "load_number",
    "logbook",
    "meant_food",
    "nothing_yet",
    "out_option",
    "own_hours",
    "printer_for",
    "report_file",
    "write_bytes",
    "write_lines",
]

json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON lines.")
food_option = click.option(
    "--food", type=text, help="Only this food: a spoken name or a product id, such as snap_beans."
)
food_words = click.argument("words", nargs=-1, type=text, metavar="[FOOD]")
load_number = click.IntRange(1, 2**63 - 1)
out_option = click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file.")

_NOTHING_YET = "Nothing is recorded yet: the first load begins the logbook."


def kitchen_folder() -> Path:
    """Return the folder of profile, logbook and backups."""
    from kitchenvoice.kitchen.folder import home

    return home()


def logbook() -> Logbook:
    """Open the record for reading. Raises: LogbookError if there is none or it can't be read."""
    from kitchenvoice.logbook.report.records import Logbook

    return Logbook(kitchen_folder())


def printer_for(as_json: bool) -> Printer:
    """Return a printer: JSON lines if wanted, else lines for a person."""
    from kitchenvoice.terminal import Printer

    return Printer(as_json)


def own_hours(printer: Printer) -> int:
    """Return the hours of the kitchen's written clock, 12 or 24; a machine's lines have none and need no profile."""
    from kitchenvoice.kitchen.profile import load_profile

    return 24 if printer.as_json else load_profile(kitchen_folder()).hours


def nothing_yet(printer: Printer, words: str | None = None) -> None:
    """Tell a person that there is nothing to list; a machine gets no line at all."""
    if not printer.as_json:
        click.echo(words or _NOTHING_YET)


def food_id(name: str | None) -> str | None:
    """Return the product id of a spoken name; a name the reference doesn't know is looked for as it is.

    Raises: BadInput asking which, where several foods are called so.
    """
    if name is None:
        return None
    from kitchenvoice.errors import BadInput
    from kitchenvoice.reference import find_food, lookup

    found = find_food(name)
    if found.kind == "ambiguous":
        raise BadInput(str(lookup(name).reason))
    return found.food or name


def meant_food(name: str | None) -> str:
    """Return which food may be meant by a name that is none, as a sentence behind another; nothing where it is one."""
    from kitchenvoice.reference import find_food
    from kitchenvoice.reference.names import similar_names

    near = similar_names(name) if name is not None and find_food(name).kind == "unknown" else ()
    return f" Did you mean {' or '.join(near)}?" if near else ""


def report_file(name: str) -> Path:
    """Return the place of a report if no file is named: the folder `reports` beside the logbook, private like it."""
    from kitchenvoice.logbook.tables.files import make_private

    folder = kitchen_folder() / "reports"
    make_private(folder)
    return folder / name


def write_lines(lines: Iterable[str], out: Path | None) -> None:
    """Write text to a file of one's own, whole or not at all, or to standard output."""
    if out is None:
        for line in lines:
            click.echo(line, nl=False)
        return
    write_bytes(b"".join(line.encode("utf-8", "replace") for line in lines), out)


def write_bytes(content: bytes, out: Path) -> None:
    """Write a file for its owner only, whole or not at all, and say where. Raises: LogbookError."""
    from kitchenvoice.errors import LogbookError
    from kitchenvoice.kitchen.folder import write_paper

    try:
        write_paper(out, content)
    except OSError as exc:
        raise LogbookError(f"{out} can't be written: {exc.strerror}. Name another file with --out.") from exc
    click.echo(f"Written to {out}.", err=True)
