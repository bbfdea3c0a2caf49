"""`kitchenvoice card`: the phrases of each stage, to read or to print and hang by the stove."""

from __future__ import annotations

from pathlib import Path

import click

from kitchenvoice.cli.paper_file import paper_option, put_file
from kitchenvoice.terminal import Printer

__all__ = ["card_command"]


@click.command("card")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Write one page of PDF into this file.")
@paper_option
@click.option("--json", "as_json", is_flag=True, help="Print JSON lines.")
def card_command(out: Path | None, paper: str | None, as_json: bool) -> int:
    """Show what can be said in each stage."""
    from kitchenvoice.app.languages import in_language
    from kitchenvoice.card.contents import blocks
    from kitchenvoice.kitchen.folder import home
    from kitchenvoice.kitchen.profile import load_profile
    from kitchenvoice.language import load_language

    profile = in_language(load_profile(home()), None)
    language = load_language(profile.language)
    made = blocks(language)
    head = f"{language.say('card', 'head', attention=profile.attention)}\n{language.say('card', 'how')}"
    foot = language.say("card", "foot")
    if out is not None:

        def pdf() -> bytes:
            from kitchenvoice.card.card_pdf import card_pdf

            return card_pdf(made, head, foot, paper or profile.paper)

        put_file(out, {".pdf": pdf})
        return 0
    printer = Printer(as_json)
    if not as_json:
        click.echo(head)
    for block in made:
        lines = "\n".join(f"  {phrase.say}" for phrase in block.phrases)
        said = [{"say": phrase.say, "intent": phrase.intent} for phrase in block.phrases]
        printer.put({"block": block.name, "title": block.title, "phrases": said}, f"\n{block.title}\n{lines}")
    if not as_json:
        click.echo(f"\n{foot}")
    return 0
