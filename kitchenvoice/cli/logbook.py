"""The commands of the record: what was canned, what is on the shelf, and how to keep the record itself well."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from kitchenvoice.cli.logbook_paper import export_command, labels_command, report_command
from kitchenvoice.cli.logbook_tools import (
    food_id,
    food_option,
    food_words,
    json_option,
    kitchen_folder,
    load_number,
    logbook,
    meant_food,
    nothing_yet,
    own_hours,
    printer_for,
)
from kitchenvoice.cli.nearest import NearestGroup
from kitchenvoice.cli.short_text import text as short_text

if TYPE_CHECKING:
    from kitchenvoice.logbook import Logbook
    from kitchenvoice.process import Crock
    from kitchenvoice.terminal import Printer

__all__ = ["logbook_commands"]


@click.group("logbook", cls=NearestGroup)
def logbook_commands() -> None:
    """Show, export and look after the record of all loads."""


# ---------------------------------------------------------------- looking


@logbook_commands.command("list")
@food_words
@food_option
@click.option(
    "--since", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD", help="Loads started on this day or later."
)
@click.option("--newest", type=click.IntRange(1), default=50, show_default=True, help="Only so many of the latest.")
@click.option("--all", "everything", is_flag=True, help="All of them, however many.")
@click.option("--open", "only_open", is_flag=True, help="Only loads that aren't closed.")
@json_option
def list_command(
    words: tuple[str, ...],
    food: str | None,
    since: datetime | None,
    newest: int,
    everything: bool,
    only_open: bool,
    as_json: bool,
) -> None:
    """List the loads: when, what, how many sealed. Then the crocks that ferment."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.logbook.report.lines import list_line
    from kitchenvoice.logbook.report.records import open_logbook

    printer, now_t = printer_for(as_json), SystemClock().now().utc
    hours = own_hours(printer)
    food = food or " ".join(words) or None
    limit = None if everything else newest + 1
    since_t = None if since is None else since.astimezone().timestamp()
    book = open_logbook(kitchen_folder())
    if book is None:
        nothing_yet(printer)
        return
    with book:
        loads = list(book.loads(food=food_id(food), since_t=since_t, newest=limit, only_open=only_open))
        crocks = _crocks(book, food)
    more = limit is not None and len(loads) == limit
    for load in loads[more:]:
        printer.put(load.as_dict(), list_line(load, now_t, hours))
    if more:
        click.echo(f"Only the newest {newest}. Earlier ones too: kitchenvoice logbook list --all.", err=True)
    _put_crocks(printer, crocks, now_t)
    if not loads and not crocks:
        nothing_yet(printer, f"No load fits that.{meant_food(food)}" if food or since or only_open else None)


def _crocks(book: Logbook, food: str | None) -> list[Crock]:
    return [crock for crock in book.crocks() if food is None or crock.food == food_id(food)]


def _put_crocks(printer: Printer, crocks: list[Crock], now_t: float) -> None:
    from kitchenvoice.logbook.report.lines import crock_line
    from kitchenvoice.logbook.report.records import crock_as_dict

    for crock in crocks:
        printer.put(crock_as_dict(crock, now_t), crock_line(crock, now_t, own_hours(printer)))


@logbook_commands.command("show", epilog="For example: kitchenvoice logbook show 3")
@click.argument("load", type=load_number, required=False)
@click.option("--crocks", is_flag=True, help="All that was done to the crocks, instead of a load.")
@json_option
def show_command(load: int | None, crocks: bool, as_json: bool) -> None:
    """Show one load with every entry. Also those taken back; the load by its number, as listed."""
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook.report.lines import entry_lines, load_lines

    if (load is None) is not crocks:
        raise BadInput("Give the number of a load, or --crocks. For example: kitchenvoice logbook show 3")
    printer = printer_for(as_json)
    with logbook() as book:
        record = None if load is None else book.load(load)
        entries = list(book.entries(load, crocks=crocks))
    if load is None and not entries:
        raise BadInput("No crock was ever begun. By voice: start a crock of sauerkraut.")
    if record is None and not entries:
        raise BadInput(f"There is no load {load}. List them with kitchenvoice logbook list.")
    hours = own_hours(printer)
    if record is not None:
        printer.put({"record": "load", **record.as_dict()}, "\n".join(load_lines(record, hours)))
    for entry, line in entry_lines(entries, hours):
        printer.put({"record": "entry", **entry.as_dict()}, line or None)


@logbook_commands.command("shelf")
@food_words
@food_option
@click.option("--jar", type=short_text, help="Only this jar size.")
@click.option("--first", type=click.IntRange(1), default=50, show_default=True, help="Only so many loads.")
@click.option("--all", "everything", is_flag=True, help="All of them, however many.")
@json_option
def shelf_command(
    words: tuple[str, ...], food: str | None, jar: str | None, first: int, everything: bool, as_json: bool
) -> None:
    """List what is on the shelf, what to use first on top. Then the crocks that ferment."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.logbook.report.lines import jar_words, plain
    from kitchenvoice.logbook.report.records import open_logbook
    from kitchenvoice.logbook.report.use_first import best_months, kept
    from kitchenvoice.paper.text import date_of
    from kitchenvoice.reference import publications, rule

    printer, now = printer_for(as_json), SystemClock().now().utc
    hours = own_hours(printer)
    food = food or " ".join(words) or None
    limit = None if everything else first + 1
    book = open_logbook(kitchen_folder())
    if book is None:
        nothing_yet(printer)
        return
    with book:
        there = [kept(record, now) for record in book.shelf(food_id(food), jar, limit)]
        crocks = [] if jar else _crocks(book, food)
    for each in there[: None if everything else first]:
        load = each.record
        days = (datetime.fromtimestamp(t).astimezone() for t in (load.opened_t, each.best_until_t))
        packed, until = (date_of(day, hours) for day in days)
        best = f"over {best_months()} months old" if each.overdue else f"best before {until}"
        best += f", doubted: {load.doubts}" if load.doubts else ""
        line = f"{jar_words(load.on_shelf, load.jar, 4)} of {load.food_name}, packed {packed}, {best}"
        printer.put(each.as_dict(), plain(line))
    if len(there) == limit:
        click.echo(f"Only the first {first} loads. The others too: kitchenvoice logbook shelf --all.", err=True)
    _put_crocks(printer, crocks, now)
    if not there and not crocks:
        nothing_yet(
            printer, f"There is no sealed jar{' of that' if food or jar else ''} on the list.{meant_food(food)}"
        )
    elif there and not printer.as_json:
        sources = publications(rule("storage.shelf_life").source)
        click.echo(f"Best within about {best_months()} months. Source: {sources}.")


# ---------------------------------------------------------------- entering


@logbook_commands.command("note", epilog='For example: kitchenvoice logbook note 3 "a bit too much salt"')
@click.argument("load", type=load_number)
@click.argument("text", nargs=-1)
@click.option("--lids", help="The box that the lids of this load came from, such as 3.")
@click.option("--used", type=short_text, help='How much food went into it, such as "14 lb".')
@json_option
def note_command(load: int, text: tuple[str, ...], lids: str | None, used: str | None, as_json: bool) -> None:
    """Note TEXT, the box of lids or the food used beside a load."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook import Logbook, SqliteLog
    from kitchenvoice.logbook.amend import enter, notes_from

    told = notes_from(text=" ".join(text) or None, lids=lids, used=used)
    with SqliteLog(kitchen_folder()) as log:
        with Logbook(kitchen_folder()) as book:
            if book.load(load) is None:
                raise BadInput(f"There is no load {load}. List them with kitchenvoice logbook list.")
        for kind, data in told:
            enter(log, kind, load, data, SystemClock().now())
    names = [kind for kind, _ in told]
    printer_for(as_json).put({"load": load, "noted": names}, f"Noted beside load {load}.")


@logbook_commands.command("close")
@click.argument("load", type=load_number)
@json_option
def close_command(load: int, as_json: bool) -> None:
    """Close a load that was forgotten, wherever it is. All that was recorded of it stays."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook import Logbook, SqliteLog
    from kitchenvoice.logbook.amend import close_load, closing_words

    with SqliteLog(kitchen_folder()) as log:
        with Logbook(kitchen_folder()) as book:
            record = book.load(load)
        if record is None:
            raise BadInput(f"There is no load {load}. List them with kitchenvoice logbook list --open.")
        event = close_load(log, record, SystemClock().now())
    words = closing_words(record)
    printer_for(as_json).put({"load": load, "closed": event.kind, "text": words}, words)


# ---------------------------------------------------------------- keeping


@logbook_commands.command("backup")
@json_option
def backup_command(as_json: bool) -> None:
    """Make a backup now; the last fourteen are kept."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.errors import LogbookError
    from kitchenvoice.logbook.store.backups import back_up
    from kitchenvoice.logbook.tables.files import NAME

    folder = kitchen_folder()
    if not (folder / NAME).exists():
        raise LogbookError("There is no logbook yet: the first load begins it.")
    made = back_up(folder, SystemClock().now())
    printer_for(as_json).put({"backup": str(made.path)}, f"Backup made: {made.path}")


@logbook_commands.command("restore")
@click.argument("file", required=False, type=click.Path(dir_okay=False, path_type=Path))
@json_option
def restore_command(file: Path | None, as_json: bool) -> None:
    """Go back to FILE, or of a damaged record to its newest backup.

    The present file is set aside.
    """
    from kitchenvoice.logbook.store.restore import require_harm, restore

    if file is None:
        require_harm(kitchen_folder())
    done = restore(kitchen_folder(), file)
    source = done.backup.name if done.backup else "no backup"
    aside = f" The file before it is in {done.aside.parent}." if done.aside else ""
    printer_for(as_json).put(
        {
            "entries": done.entries,
            "saved": done.saved,
            "backup": str(done.backup) if done.backup else None,
            "set_aside": str(done.aside) if done.aside else None,
        },
        f"{done.entries} entries from {source}, {done.saved} newer ones saved.{aside}",
    )


@logbook_commands.command("verify")
@click.option("--all", "everything", is_flag=True, help="Derive the loads anew however long the log is.")
@json_option
@click.pass_context
def verify_command(ctx: click.Context, everything: bool, as_json: bool) -> None:
    """Check the whole record. The file, every entry, and that the loads are what the entries amount to."""
    from kitchenvoice.logbook.store.integrity import FOLDED_ENTRIES

    with logbook() as book:
        whole = everything or book.last_seq <= FOLDED_ENTRIES
        faults = book.proof(fold_too=whole)
        minutes = max(1, book.last_seq // FOLDED_ENTRIES)
    rest = "" if whole else f" The loads weren't derived anew: verify --all does, in about {minutes} minutes or more."
    text = "\n".join(faults) or f"Everything is in order.{rest}"
    printer_for(as_json).put({"ok": not faults, "derived": whole, "faults": faults}, text)
    ctx.exit(3 if faults else 0)


@logbook_commands.command("rebuild")
@json_option
def rebuild_command(as_json: bool) -> None:
    """Derive the loads and the shelf anew from the entries."""
    from kitchenvoice.logbook import SqliteLog

    with SqliteLog(kitchen_folder()) as log:
        loads = log.rebuild()
    printer_for(as_json).put({"loads": loads}, f"{loads} loads derived anew.")


for _command in (export_command, labels_command, report_command):
    logbook_commands.add_command(_command)
