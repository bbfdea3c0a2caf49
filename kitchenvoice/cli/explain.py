"""`kitchenvoice explain`: what temperature a pressure on the gauge means."""

from __future__ import annotations

import click

from kitchenvoice.cli import short_text
from kitchenvoice.cli.process_options import (
    EXIT,
    OwnKitchen,
    Usage,
    as_usage,
    feet,
    json_option,
    number,
    pounds_in,
    put_json,
)

__all__ = ["explain_command"]


@click.command("explain", epilog="For example: kitchenvoice explain 11 psi 5000 feet")
@click.argument("words", nargs=-1, type=short_text.text)
@click.option("--psi", type=number, help="Pressure on the gauge, in pounds.")
@click.option("--altitude-ft", type=number, help="Altitude in feet.")
@click.option("--altitude-m", type=number, help="Altitude in meters, rounded up to feet.")
@json_option
@click.pass_context
def explain_command(
    ctx: click.Context,
    words: tuple[str, ...],
    psi: float | None,
    altitude_ft: float | None,
    altitude_m: float | None,
    as_json: bool,
) -> None:
    """Say what temperature a gauge pressure means at an altitude. An explanation, never a process.

    WORDS may stand for the options, such as: 11 psi 5000 feet.
    """
    from kitchenvoice.paper.text import lines
    from kitchenvoice.reference import explain

    pounds, height = _said(short_text.text(" ".join(words)))
    given = feet(altitude_ft, altitude_m)
    for heard, option, name in ((pounds, psi, "pressure"), (height, given, "altitude")):
        if None not in (heard, option) and heard != option:
            raise Usage(f"{heard:g} and {option:g}: say the {name} once.")
    psi, height = (psi if pounds is None else pounds), (given if height is None else height)
    if psi is None:
        raise Usage("Which pressure? Say it like: kitchenvoice explain 11 psi 5000 feet.")
    if height is None:
        height = OwnKitchen().profile.altitude_ft
    if height is None:
        raise Usage("Which altitude? Say it like: kitchenvoice explain 11 psi 5000 feet.")
    said = explain(psi, height)
    if as_json:
        put_json(said.as_dict(), [])
    else:
        click.echo("\n".join(lines(said.text)))
    ctx.exit(EXIT[said.status])


def _said(line: str) -> tuple[float | None, float | None]:
    """Return the pounds and the feet that words say. Raises: Usage for a word that is neither."""
    from kitchenvoice.reference import wanted

    pounds, rest = pounds_in(line, bare=True)
    with as_usage():
        heard = wanted(rest)
    if heard.food is not None:
        raise Usage(f"I don't know {heard.food}. Write a pressure and an altitude: 11 psi 5000 feet.")
    return pounds, heard.altitude_ft
