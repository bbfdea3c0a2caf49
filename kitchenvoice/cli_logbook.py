"""The commands of the record: what was canned, what is on the shelf, and how to keep the record itself well."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from kitchenvoice.logbook.records import Logbook
    from kitchenvoice.printing import Printer

__all__ = ["logbook_commands"]


@click.group("logbook")
def logbook_commands() -> None:
    """Show, export and look after the record of all loads."""


_json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON lines, as a pipe does.")
_food_option = click.option("--food", help="Only this food: a spoken name or a product id, such as snap_beans.")
_out_option = click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write to this file.")


def _folder() -> Path:
    from kitchenvoice import profile

    return profile.home()


def _logbook() -> Logbook:
    from kitchenvoice.logbook.records import Logbook

    return Logbook(_folder())


def _printer(as_json: bool) -> Printer:
    from kitchenvoice.printing import Printer

    return Printer(True if as_json else None)


def _put(printer: Printer, fields: Mapping[str, Any], line: str) -> None:
    """Print; on a terminal, whatever was heard or named is only shown and can't steer it."""
    printer.put(fields, "".join(letter if letter.isprintable() or letter == "\n" else "?" for letter in line))


def _food_id(name: str | None) -> str | None:
    """Return the product id of a spoken name; a name the reference doesn't know is looked for as it is."""
    if name is None:
        return None
    from kitchenvoice.reference import find_food

    return find_food(name).food or name


def _day(t: float | None) -> str:
    return "" if t is None else datetime.fromtimestamp(t).astimezone().strftime("%Y-%m-%d")


def _minute(t: float | None) -> str:
    return "" if t is None else datetime.fromtimestamp(t).astimezone().strftime("%Y-%m-%d %H:%M")


def _write(lines: Iterable[str], out: Path | None) -> None:
    """Write text to a file of one's own, whole or not at all, or to standard output."""
    if out is None:
        for line in lines:
            click.echo(line, nl=False)
        return
    _write_bytes(b"".join(line.encode("utf-8", "replace") for line in lines), out)


def _write_bytes(content: bytes, out: Path) -> None:
    from kitchenvoice.logbook.trouble import explained

    part = out.with_name(f".{out.name}.part")
    with explained(out.parent):
        try:
            with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as file:
                file.write(content)
            part.replace(out)
        finally:
            part.unlink(missing_ok=True)
    click.echo(f"Written to {out}.", err=True)


# ---------------------------------------------------------------- looking


@logbook_commands.command("list")
@_food_option
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="Loads started on this day or later.")
@click.option("--newest", type=click.IntRange(1), help="Only so many of the latest.")
@_json_option
def list_command(food: str | None, since: datetime | None, newest: int | None, as_json: bool) -> None:
    """List the loads: when, what, how many sealed."""
    printer = _printer(as_json)
    since_t = None if since is None else since.astimezone().timestamp()
    with _logbook() as book:
        for load in book.loads(food=_food_id(food), since_t=since_t, newest=newest):
            counted = "not counted" if load.sealed is None else f"{load.sealed} sealed, {load.failed} failed"
            times = "once" if load.restarts == 1 else f"{load.restarts} times"
            restarts = f", hold started over {times}" if load.restarts else ""
            left = f", {load.on_shelf} on the shelf" if load.sealed else ""
            what = f"{load.jars} {load.jar} jars of {load.food_name}, {load.pack} pack"
            _put(
                printer,
                load.as_dict(),
                f"{load.load:>5}  {_day(load.opened_t)}  {what}: {counted}{left}{restarts} "
                f"({load.stage.replace('_', ' ')})",
            )


@logbook_commands.command("show")
@click.argument("load", type=int)
@_json_option
def show_command(load: int, as_json: bool) -> None:
    """Show one load (its id, as listed) with every entry, also those taken back."""
    from kitchenvoice.errors import BadInput

    printer = _printer(as_json)
    with _logbook() as book:
        record = book.load(load)
        entries = list(book.entries(load))
        if record is None and not entries:
            raise BadInput(f"There is no load {load}. List them with kitchenvoice logbook list.")
        if record is not None:
            fields = {name: value for name, value in record.as_dict().items() if value not in (None, "", [], {})}
            _put(
                printer,
                {"record": "load", **record.as_dict()},
                "\n".join(f"{k:<12} {_text(v)}" for k, v in fields.items()),
            )
        for entry in entries:
            event = entry.event
            words = f' "{event.heard}"' if event.heard else ""
            data = ", ".join(f"{name} {_text(value)}" for name, value in event.data.items())
            back = "  (taken back)" if entry.scratched else ""
            _put(
                printer,
                {"record": "entry", **entry.as_dict()},
                f"{event.seq:>6}  {_minute(event.t)}  {event.kind.replace('_', ' ')}{words}  {data}{back}".rstrip(),
            )


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{count} {name}" for name, count in value.items())
    return "; ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


@logbook_commands.command("shelf")
@_food_option
@click.option("--jar", help="Only this jar size.")
@_json_option
def shelf_command(food: str | None, jar: str | None, as_json: bool) -> None:
    """List what is on the shelf, what to use first on top."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.logbook.eating import best_months, kept

    printer, now = _printer(as_json), SystemClock().now().utc
    with _logbook() as book:
        for each in (kept(record, now) for record in book.shelf(_food_id(food), jar)):
            load = each.record
            best = f"best before {_day(each.best_until_t)}" if not each.overdue else f"over {best_months()} months old"
            line = f"{load.on_shelf:>4} {load.jar} jars of {load.food_name}, packed {_day(load.opened_t)}, {best}"
            _put(printer, each.as_dict(), line)


@logbook_commands.command("export")
@click.option("--format", "form", type=click.Choice(["json", "csv"]), default="json", show_default=True)
@click.option("--what", type=click.Choice(["loads", "entries", "shelf"]), default="loads", show_default=True)
@_out_option
def export_command(form: str, what: str, out: Path | None) -> None:
    """Write the record as JSON lines or as CSV for a spreadsheet."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.logbook import export
    from kitchenvoice.logbook.eating import kept

    now = SystemClock().now().utc
    with _logbook() as book:
        if form == "json":
            sources: dict[str, Iterable[Any]] = {"loads": book.loads(), "entries": book.entries()}
            rows = (kept(x, now) for x in book.shelf()) if what == "shelf" else sources[what]
            _write(export.json_lines(row.as_dict() for row in rows), out)
        elif what == "entries":
            _write(export.csv_lines(export.ENTRY_FIELDS, map(export.flat_entry, book.entries())), out)
        elif what == "loads":
            _write(export.csv_lines(export.LOAD_FIELDS, map(export.flat_load, book.loads())), out)
        else:
            cells = [{**kept(x, now).as_dict(), "source": ""} for x in book.shelf()]
            names = ("load", "food", "food_name", "jar", "left", "packed", "best_until", "overdue")
            _write(export.csv_lines(names, cells), out)


# ---------------------------------------------------------------- keeping


@logbook_commands.command("backup")
@_json_option
def backup_command(as_json: bool) -> None:
    """Make a backup now; the last fourteen are kept."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.errors import LogbookError
    from kitchenvoice.logbook.backups import back_up
    from kitchenvoice.logbook.files import NAME

    folder = _folder()
    if not (folder / NAME).exists():
        raise LogbookError("There is no logbook yet: the first load begins it.")
    made = back_up(folder, SystemClock().now())
    _printer(as_json).put({"backup": str(made.path)}, f"Backup made: {made.path}")


@logbook_commands.command("restore")
@click.argument("file", required=False, type=click.Path(dir_okay=False, path_type=Path))
@_json_option
def restore_command(file: Path | None, as_json: bool) -> None:
    """Go back to a backup: FILE, or the newest good one. The present file is set aside, not deleted."""
    from kitchenvoice.logbook.restoring import restore

    done = restore(_folder(), file)
    source = done.backup.name if done.backup else "no backup"
    aside = f" The file before it is in {done.aside.parent}." if done.aside else ""
    _printer(as_json).put(
        {
            "entries": done.entries,
            "saved": done.saved,
            "backup": str(done.backup) if done.backup else None,
            "set_aside": str(done.aside) if done.aside else None,
        },
        f"{done.entries} entries from {source}, {done.saved} newer ones saved.{aside}",
    )


@logbook_commands.command("verify")
@_json_option
@click.pass_context
def verify_command(ctx: click.Context, as_json: bool) -> None:
    """Check the file, every entry, and that the loads are what the entries amount to."""
    with _logbook() as book:
        faults = book.proof()
    text = "\n".join(faults) or "Everything is in order."
    _printer(as_json).put({"ok": not faults, "faults": faults}, text)
    ctx.exit(3 if faults else 0)


@logbook_commands.command("rebuild")
@_json_option
def rebuild_command(as_json: bool) -> None:
    """Derive the loads and the shelf anew from the entries."""
    from kitchenvoice.logbook import SqliteLog

    with SqliteLog(_folder()) as log:
        loads = log.rebuild()
    _printer(as_json).put({"loads": loads}, f"{loads} loads derived anew.")


# ---------------------------------------------------------------- printing


@logbook_commands.command("labels")
@click.option(
    "--sheet", help="Paper and label in millimetres; --sheet list names them.", default="a4-70x37", show_default=True
)
@click.option("--load", "loads", type=int, multiple=True, help="Only this load (id as listed); can be repeated.")
@click.option("--skip", type=click.IntRange(0, 100), default=0, help="Labels already used on the first sheet.")
@_out_option
def labels_command(sheet: str, loads: tuple[int, ...], skip: int, out: Path | None) -> None:
    """Make a PDF with a label for each sealed jar of the shelf, or of some loads."""
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook.labels import SHEETS, labels_pdf

    if sheet == "list":
        for name, kind in SHEETS.items():
            click.echo(f"{name}  {kind.each} labels of {kind.label[0]:g} by {kind.label[1]:g} mm on a page")
        return
    if sheet not in SHEETS:
        raise BadInput(f"There is no sheet {sheet}. Choose one of {', '.join(SHEETS)}.")
    if skip >= SHEETS[sheet].each:
        raise BadInput(f"A sheet {sheet} has {SHEETS[sheet].each} labels. Skip fewer.")
    with _logbook() as book:
        wanted = [(load, load.on_shelf) for load in book.shelf() if not loads or load.load in loads]
    if not wanted:
        raise BadInput("There is no sealed jar of these loads on the shelf. List it with kitchenvoice logbook shelf.")
    content, count = labels_pdf(wanted, SHEETS[sheet], skip)
    _write_bytes(content, out or Path("labels.pdf"))
    click.echo(f"{count} labels. Print at actual size, not fitted to the page.", err=True)


@logbook_commands.command("report")
@click.option("--year", type=click.IntRange(1970, 9998), help="The season; the latest with a load if not given.")
@_out_option
def report_command(year: int | None, out: Path | None) -> None:
    """Write the season as one HTML page: jars by food and month, seal rates, holds started over, the shelf."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.logbook.eating import kept
    from kitchenvoice.logbook.report import season_page
    from kitchenvoice.logbook.season import season_of

    now = SystemClock().now().utc
    with _logbook() as book:
        latest = max((load.opened_t for load in book.loads(newest=1)), default=now)
        year = year or datetime.fromtimestamp(latest).astimezone().year
        since, until = (datetime(each, 1, 1).astimezone().timestamp() for each in (year, year + 1))
        season = season_of(book.loads(since_t=since, until_t=until), year)
        page = season_page(season, [kept(load, now) for load in book.shelf()])
    _write([page], out or Path(f"season-{year}.html"))
