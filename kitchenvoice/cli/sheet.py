"""`kitchenvoice sheet`: everything that is published about one food, to read or to print."""

from __future__ import annotations

import json
from pathlib import Path

import click

from kitchenvoice.cli import short_text
from kitchenvoice.cli.paper_file import paper_option, put_page
from kitchenvoice.cli.process_options import EXIT, OwnKitchen, json_option

__all__ = ["sheet_command"]


@click.command("sheet")
@click.argument("food", nargs=-1, required=True, type=short_text.text)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write .pdf or .html.")
@paper_option
@json_option
@click.pass_context
def sheet_command(
    ctx: click.Context, food: tuple[str, ...], out: Path | None, paper: str | None, as_json: bool
) -> None:
    """Show the sheet of a food: times, headspace, packing, and its recipe where that makes the process valid."""
    from kitchenvoice.card.sheet import sheet_sections
    from kitchenvoice.paper.text import facts, lines, text_page
    from kitchenvoice.reference import lookup, publications, sheet

    name = short_text.text(" ".join(food))
    made = sheet(name)
    if as_json:
        click.echo(json.dumps(made.as_dict(), ensure_ascii=False))
    elif made.food is None:
        answer = lookup(name)
        for line in (*lines(answer.reason or ""), *facts([("Source", publications(answer.source))])):
            click.echo(line)
    elif out is not None:
        put_page(out, made.title or made.name, sheet_sections(made), paper or OwnKitchen().profile.paper)
    else:
        for line in text_page(made.title or made.name, sheet_sections(made)):
            click.echo(line)
    ctx.exit(0 if made.food else EXIT["incomplete" if made.candidates else "refused"])
