"""`kitchenvoice sheet`: everything that is published about one food, to read or to print."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

from kitchenvoice.cli import short_text
from kitchenvoice.cli.paper_file import paper_option, put_page
from kitchenvoice.cli.process_options import EXIT, OwnKitchen, json_option

__all__ = ["sheet_command"]


@click.command("sheet", epilog="For example: kitchenvoice sheet carrots")
@click.argument("food", nargs=-1, required=True, type=short_text.text)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write .pdf or .html.")
@paper_option
@json_option
@click.pass_context
def sheet_command(
    ctx: click.Context, food: tuple[str, ...], out: Path | None, paper: str | None, as_json: bool
) -> None:
    """Show all that is published about a food. Times, headspace, packing, its recipe where the process hangs on it.

    `sheet rules` shows the rules of every food: jars and lids, canners, seals, opening, what is suspect.
    """
    from kitchenvoice.card.sheet import rule_sections, sheet_sections
    from kitchenvoice.paper.text import facts, lines, text_page
    from kitchenvoice.reference import lookup, publications, rule, rule_names, sheet

    name = short_text.text(" ".join(food))
    rules = name.casefold() == "rules"
    made = sheet(name)
    if made.food is None and not rules:
        made = sheet(OwnKitchen().in_english(name))
    title = "The rules of every food" if rules else made.title or made.name
    if as_json and not rules:
        click.echo(json.dumps(made.as_dict(), ensure_ascii=False))
    elif as_json:
        click.echo(json.dumps({each: asdict(rule(each)) for each in rule_names()}, ensure_ascii=False))
    elif made.food is None and not rules:
        answer = lookup(name)
        for line in (*lines(answer.reason or ""), *facts([("Source", publications(answer.source))])):
            click.echo(line)
    else:
        sections = rule_sections() if rules else sheet_sections(made)
        if out is not None:
            put_page(out, title, sections, paper or OwnKitchen().profile.paper)
        else:
            for line in text_page(title, sections):
                click.echo(line)
    ctx.exit(0 if made.food or rules else EXIT["incomplete" if made.candidates else "refused"])
