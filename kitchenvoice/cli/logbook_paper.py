"""The commands that make files of the record: exports, labels, the season's report."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.cli.logbook_tools import (
    food_id,
    kitchen_folder,
    logbook,
    meant_food,
    out_option,
    report_file,
    write_bytes,
    write_lines,
)
from kitchenvoice.cli.paper_file import paper_option
from kitchenvoice.cli.short_text import text as short_text

if TYPE_CHECKING:
    from kitchenvoice.kitchen.profile import Profile

__all__ = ["export_command", "labels_command", "report_command"]


@click.command("export")
@click.option("--format", "form", type=click.Choice(["json", "csv"]), help="csv where --out ends so, else json.")
@click.option("--what", type=click.Choice(["loads", "entries", "shelf"]), default="loads", show_default=True)
@out_option
def export_command(form: str | None, what: str, out: Path | None) -> None:
    """Write the record as JSON lines or as CSV for a spreadsheet."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook.report import export
    from kitchenvoice.logbook.report.records import open_logbook
    from kitchenvoice.logbook.report.use_first import kept

    now = SystemClock().now().utc
    ending = out.suffix.lower() if out else ""
    if out and form is None and ending not in ("", ".csv", ".json", ".jsonl"):
        raise BadInput(f"The name {out.name} doesn't tell which form it is. End it with .csv or .json.")
    form = form or ("csv" if ending == ".csv" else "json")
    book = open_logbook(kitchen_folder())
    fields = {"loads": export.LOAD_FIELDS, "entries": export.ENTRY_FIELDS, "shelf": export.SHELF_FIELDS}[what]
    if book is None:
        write_lines(export.csv_lines(fields, ()) if form == "csv" else (), out)
        return
    with book:
        rows: Iterable[Any]
        if what == "shelf":
            rows = (kept(each, now).as_dict() for each in book.shelf())
        elif what == "entries":
            rows = (each.as_dict() if form == "json" else export.flat_entry(each) for each in book.entries())
        else:
            rows = (each.as_dict() if form == "json" else export.flat_load(each) for each in book.loads())
        write_lines(export.json_lines(rows) if form == "json" else export.csv_lines(fields, rows), out)


def _profile() -> Profile:
    from kitchenvoice.kitchen.profile import load_profile

    return load_profile(kitchen_folder())


@click.command("labels", epilog="For example: kitchenvoice logbook labels 3, or: kitchenvoice logbook labels carrots")
@click.argument("words", nargs=-1, type=short_text, metavar="[LOADS OR FOOD]")
@click.option(
    "--sheet", help="Paper and label in millimeters; --sheet list names them. The kitchen's paper if not given."
)
@click.option("--load", "loads", type=int, multiple=True, help="Only this load (id as listed); can be repeated.")
@click.option("--skip", type=click.IntRange(0, 100), default=0, help="Labels already used on the first sheet.")
@out_option
def labels_command(
    words: tuple[str, ...], sheet: str | None, loads: tuple[int, ...], skip: int, out: Path | None
) -> None:
    """Make labels as a PDF. One for each sealed jar of the shelf, or of some loads or a food."""
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook.report.labels import SHEETS, labels_pdf, usual_sheet

    sheet = sheet or usual_sheet(_profile().paper)
    if sheet == "list":
        for name, kind in SHEETS.items():
            click.echo(f"{name}  {kind.each} labels of {kind.label[0]:g} by {kind.label[1]:g} mm on a page")
        return
    if sheet not in SHEETS:
        raise BadInput(f"There is no sheet {sheet}. Choose one of {', '.join(SHEETS)}.")
    if skip >= SHEETS[sheet].each:
        raise BadInput(f"A sheet {sheet} has {SHEETS[sheet].each} labels. Skip fewer.")
    loads += tuple(int(word) for word in words if word.isdecimal())
    food = " ".join(word for word in words if not word.isdecimal()) or None
    with logbook() as book:
        for number in loads:
            if book.load(number) is None:
                raise BadInput(f"There is no load {number}. List them with kitchenvoice logbook list.")
        there = book.shelf(food_id(food))
        wanted = [(load, load.on_shelf) for load in there if not loads or load.load in loads]
    if not wanted:
        of = "of that on the shelf" if loads or food else "on the shelf"
        near = meant_food(food) or " List it with kitchenvoice logbook shelf."
        raise BadInput(f"There is no sealed jar {of}.{near}")
    content, count = labels_pdf(wanted, SHEETS[sheet], _profile().hours, skip)
    write_bytes(content, out or report_file("labels.pdf"))
    click.echo(f"{count} labels. Print at actual size, not fitted to the page.", err=True)


@click.command("report", epilog="For example: kitchenvoice logbook report 2026")
@click.argument("season", type=click.IntRange(1970, 9998), required=False, metavar="[YEAR]")
@click.option("--year", type=click.IntRange(1970, 9998), help="The season; the latest with a load if not given.")
@click.option("--format", "form", type=click.Choice(["html", "pdf"]), help="Only this one; both if not given.")
@paper_option
@out_option
def report_command(season: int | None, year: int | None, form: str | None, paper: str | None, out: Path | None) -> None:
    """Write the season as a page and a PDF. Jars, seal rates, holds started over, yields, the shelf.

    They go into the folder reports beside the logbook. With --out one file is written; its ending tells which.
    """
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.errors import BadInput
    from kitchenvoice.logbook.report.season import season_of
    from kitchenvoice.logbook.report.sections import season_sections, season_title
    from kitchenvoice.logbook.report.use_first import kept
    from kitchenvoice.paper.html import html_page
    from kitchenvoice.paper.pdf import pdf_sheets

    endings = {".html": "html", ".htm": "html", ".pdf": "pdf"}
    if out is not None and out.suffix.lower() not in endings and form is None:
        raise BadInput(f"The name {out.name} doesn't tell which report it is. End it with .html or .pdf.")
    now = SystemClock().now().utc
    with logbook() as book:
        latest = max((load.opened_t for load in book.loads(newest=1)), default=now)
        year = year or season or datetime.fromtimestamp(latest).astimezone().year
        since, until = (datetime(each, 1, 1).astimezone().timestamp() for each in (year, year + 1))
        made = season_of(book.loads(since_t=since, until_t=until), year)
        sections = season_sections(made, [kept(load, now) for load in book.shelf()], _profile().hours)
    if not made.loads:
        raise BadInput(f"No load was started in {year}, so nothing is written. Name another year.")
    title, paper = season_title(made), paper or _profile().paper
    wanted = (form or endings[out.suffix.lower()],) if out is not None else (form,) if form else ("html", "pdf")
    for each in wanted:
        content = html_page(title, sections).encode() if each == "html" else pdf_sheets(title, sections, paper)
        write_bytes(content, out or report_file(f"season-{year}.{each}"))
