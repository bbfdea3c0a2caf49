"""`kitchenvoice explain`: what temperature a pressure on the gauge means."""

from __future__ import annotations

import click

from kitchenvoice.cli.process_options import EXIT, OwnKitchen, Usage, feet, json_option, number, put_json

__all__ = ["explain_command"]


@click.command("explain", epilog="For example: kitchenvoice explain --psi 11 --altitude-ft 5000")
@click.option("--psi", type=number, required=True, help="Pressure on the gauge, in pounds.")
@click.option("--altitude-ft", type=number, help="Altitude in feet.")
@click.option("--altitude-m", type=number, help="Altitude in meters, rounded up to feet.")
@json_option
@click.pass_context
def explain_command(
    ctx: click.Context, psi: float, altitude_ft: float | None, altitude_m: float | None, as_json: bool
) -> None:
    """Say what temperature a gauge pressure means at an altitude. An explanation, never a process."""
    from kitchenvoice.paper.text import lines
    from kitchenvoice.reference import explain

    height = feet(altitude_ft, altitude_m)
    if height is None:
        height = OwnKitchen().profile.altitude_ft
    if height is None:
        raise Usage("Give the altitude with --altitude-ft or --altitude-m.")
    said = explain(psi, height)
    if as_json:
        put_json(said.as_dict(), [])
    else:
        click.echo("\n".join(lines(said.text)))
    ctx.exit(EXIT[said.status])
