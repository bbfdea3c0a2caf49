"""`kitchenvoice card`: what can be said in each stage, to read or to print and hang by the stove."""

from __future__ import annotations

from pathlib import Path

import click

from kitchenvoice.errors import BadInput
from kitchenvoice.files import write_out
from kitchenvoice.terminal import Printer

__all__ = ["card_command"]


@click.command("card")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Write one page of PDF into this file.")
@click.option("--paper", type=click.Choice(["letter", "a4"]), default="letter", show_default=True, help="Its size.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def card_command(out: Path | None, paper: str, as_json: bool) -> int:
    """Show what can be said in each stage, from the grammars themselves."""
    from kitchenvoice.card.contents import blocks
    from kitchenvoice.kitchen.folder import home
    from kitchenvoice.kitchen.profile import load_profile
    from kitchenvoice.language import load_language

    attention = load_profile(home()).attention
    language = load_language("en")
    made = blocks(language)
    head = f"{language.say('card', 'head', attention=attention)}\n{language.say('card', 'how')}"
    foot = language.say("card", "foot")
    printer = Printer(True if as_json else None)
    if out is not None:
        from kitchenvoice.card.pdf import card_pdf

        _write(out, card_pdf(made, head, foot, paper))
        printer.put({"file": str(out)}, f"{out} is one page of {paper} paper. Print it at actual size.")
        return 0
    if not printer.as_json:
        click.echo(head)
    for block in made:
        lines = "\n".join(f"  {phrase.say}" for phrase in block.phrases)
        said = [{"say": phrase.say, "intent": phrase.intent} for phrase in block.phrases]
        printer.put({"block": block.name, "title": block.title, "phrases": said}, f"\n{block.title}\n{lines}")
    if not printer.as_json:
        click.echo(f"\n{foot}")
    return 0


def _write(out: Path, content: bytes) -> None:
    try:
        write_out(out, content)
    except OSError as exc:
        raise BadInput(f"{out} can't be written: {exc.strerror}. Name another file with --out.") from exc
