"""The commands that read the tables: lookup, plan, explain. One JSON object a call, or lines for a person."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.cli import short_text

if TYPE_CHECKING:
    from kitchenvoice.reference import Answer, Plan

__all__ = ["explain_command", "lookup_command", "plan_command"]

_EXIT = {"ok": 0, "refused": 4, "incomplete": 5}
_FUNCTION = Callable[..., Any]


def number(text: str) -> float:
    """Understand a number as people write it: 1500, 1,500 or 609.6; a comma counts only where it parts thousands."""
    text = short_text.text(text)
    try:
        return float(re.sub(r"(?<=\d),(?=\d{3}(?:\D|$))", "", text))
    except ValueError:
        raise click.BadParameter(f"{text!r} isn't a number. Write it like 1500.") from None


def _process_options(function: _FUNCTION) -> _FUNCTION:
    for option in (
        click.option("--json", "as_json", is_flag=True, help="Print one JSON object, as a pipe does."),
        click.option("--altitude-m", type=number, help="Altitude in meters, rounded up to feet."),
        click.option("--altitude-ft", type=number, help="Altitude in feet."),
        click.option("--gauge", type=short_text.text, help="dial or weighted; for pressure only."),
        click.option(
            "--method", type=short_text.text, help="pressure, boiling-water, atmospheric-steam, pasteurization."
        ),
        click.option(
            "--jar", type=short_text.text, help="half-pint, twelve-ounce, pint, pint-and-half, quart, half-gallon."
        ),
        click.option("--pack", type=short_text.text, help="raw or hot; see-procedure where the guide prints neither."),
        click.option("--food", type=short_text.text, help="Spoken name or product id, such as snap_beans."),
    ):
        function = option(function)
    return function


@click.command("lookup")
@_process_options
@click.option("--option", type=short_text.text, help="The minutes wanted, where a table prints alternatives.")
@click.option("--variety", type=short_text.text, help="Such as Asian, for pears.")
@click.option("--style", type=short_text.text, help="Such as mashed or cubed.")
@click.option("--medium", type=short_text.text, help="What tomatoes are packed in: water, juice or none.")
@click.option("--bones", type=click.Choice(["with", "without"]), help="For chicken and rabbit.")
@click.option("--list", "listing", is_flag=True, help="List the foods that have a table.")
@click.pass_context
def lookup_command(
    ctx: click.Context,
    food: str | None,
    pack: str | None,
    jar: str | None,
    method: str | None,
    gauge: str | None,
    altitude_ft: float | None,
    altitude_m: float | None,
    as_json: bool,
    option: str | None,
    variety: str | None,
    style: str | None,
    medium: str | None,
    bones: str | None,
    listing: bool,
) -> None:
    """Look up the tested process for a food, or say why there is none."""
    from kitchenvoice.reference import lookup

    if listing:
        _list_foods(as_json)
        return
    answer = lookup(
        food,
        pack=pack,
        jar=jar,
        method=method,
        gauge=gauge,
        altitude_ft=_feet(altitude_ft, altitude_m),
        option=option,
        variety=variety,
        style=style,
        medium=medium,
        bones=None if bones is None else bones == "with",
    )
    _show(answer.as_dict(), _answer_lines(answer), as_json)
    ctx.exit(_EXIT[answer.status])


@click.command("plan")
@_process_options
@click.option("--have", type=short_text.text, help='What is on hand, such as "28 lb" or "2 bushels".')
@click.option("--capacity", type=click.IntRange(1, 100), help="How many of these jars fit the canner.")
@click.option(
    "--style", type=short_text.text, help="thin or thick, for tomato sauce; the fruit, for jam or jelly without pectin."
)
@click.option("--canners", type=click.IntRange(1, 2), default=1, show_default=True, help="How many canners run.")
@click.option(
    "--pack-minutes",
    type=short_text.text,
    help="How long packing a load takes you, such as 30-45, for the plan of the day.",
)
@click.option("--heat-minutes", type=short_text.text, help="How long heating up takes, such as 15-25.")
@click.pass_context
def plan_command(
    ctx: click.Context,
    food: str | None,
    pack: str | None,
    jar: str | None,
    method: str | None,
    gauge: str | None,
    altitude_ft: float | None,
    altitude_m: float | None,
    as_json: bool,
    have: str | None,
    capacity: int | None,
    style: str | None,
    canners: int,
    pack_minutes: str | None,
    heat_minutes: str | None,
) -> None:
    """Plan jars, loads, salt and lids from what is on hand, by published yields."""
    from kitchenvoice.errors import BadInput
    from kitchenvoice.reference import plan

    feet = _feet(altitude_ft, altitude_m)
    try:
        made = plan(
            food,
            have,
            jar,
            capacity,
            style=style,
            pack=pack,
            method=method,
            gauge=gauge,
            altitude_ft=feet,
            canners=canners,
            pack_minutes=_span(pack_minutes),
            heat_minutes=_span(heat_minutes),
        )
    except BadInput as error:
        raise _Usage(str(error)) from None
    _show(made.as_dict(), _plan_lines(made), as_json)
    ctx.exit(_EXIT[made.status])


@click.command("explain")
@click.option("--psi", type=number, required=True, help="Pressure on the gauge, in pounds.")
@click.option("--altitude-ft", type=number, help="Altitude in feet.")
@click.option("--altitude-m", type=number, help="Altitude in meters, rounded up to feet.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object, as a pipe does.")
@click.pass_context
def explain_command(
    ctx: click.Context, psi: float, altitude_ft: float | None, altitude_m: float | None, as_json: bool
) -> None:
    """Say what temperature a gauge pressure means at an altitude. An explanation, never a process."""
    from kitchenvoice.reference import explain

    feet = _feet(altitude_ft, altitude_m)
    if feet is None:
        raise _Usage("Give the altitude with --altitude-ft or --altitude-m.")
    said = explain(psi, feet)
    _show(said.as_dict(), [said.text], as_json)
    ctx.exit(_EXIT[said.status])


def _span(text: str | None) -> tuple[float, float] | None:
    """Understand "30-45" or "30" minutes."""
    if text is None:
        return None
    parts = text.split("-")
    if len(parts) not in (1, 2) or not all(part.strip().isdecimal() and part.strip().isascii() for part in parts):
        raise _Usage("Give minutes as 30 or as 30-45.")
    low, high = float(parts[0]), float(parts[-1])
    if not 0 < low <= high <= 600:
        raise _Usage("Give minutes as 30 or as 30-45, the smaller number first, up to 600.")
    return low, high


def _feet(altitude_ft: float | None, altitude_m: float | None) -> float | None:
    from kitchenvoice.reference import metres_to_feet_up

    if altitude_m is None:
        return altitude_ft
    if altitude_ft is not None:
        raise _Usage("Give the altitude in feet or in meters, not both.")
    try:
        return metres_to_feet_up(altitude_m)
    except ValueError as error:
        raise _Usage(str(error)) from None


class _Usage(click.ClickException):
    exit_code = 2

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.ctx = click.get_current_context(silent=True)


def _show(fields: dict[str, Any], lines: list[str], as_json: bool) -> None:
    if as_json or not sys.stdout.isatty():
        from kitchenvoice.reference import source_title

        fields["source_text"] = [source_title(citation) for citation in fields["source"]]
        click.echo(json.dumps(fields, ensure_ascii=False))
        return
    for line in lines:
        click.echo(line)


def _list_foods(as_json: bool) -> None:
    from kitchenvoice.reference import Food, foods
    from kitchenvoice.reference.answer import plain_fields

    listed: tuple[Food, ...] = foods()
    if as_json or not sys.stdout.isatty():
        for food in listed:
            click.echo(json.dumps(plain_fields(food), ensure_ascii=False))
        return
    width = max(len(food.id) for food in listed)
    for food in listed:
        click.echo(f"{food.id:<{width}}  {food.name}: {', '.join(food.methods)}")


def _answer_lines(answer: Answer) -> list[str]:
    from kitchenvoice.reference import source_title

    rows: list[tuple[str, object]] = [("status", answer.status), ("food", answer.food_name)]
    if answer.status == "ok":
        rows += [
            ("process", f"{answer.pack} pack, {answer.jar}, {answer.method}{_at(answer.altitude_ft)}"),
            ("minutes", answer.minutes),
            ("pressure", f"{answer.psi} pounds on a {answer.gauge} gauge" if answer.psi else None),
            ("or", "; ".join(f"{o.minutes} minutes at {o.psi} pounds" for o in answer.options)),
            ("headspace", answer.headspace_text),
            ("salt", answer.salt_text),
            ("acid", answer.acid.text if answer.acid else None),
            ("jars", "sterile, before they are filled" if answer.sterile_jars else None),
            ("canner", answer.canner.text if answer.canner else None),
        ]
    rows += [("reason", answer.reason)]
    rows += [(f"ask {name}", ", ".join(answer.choices.get(name, ())) or "-") for name in answer.missing]
    rows += [("mind", caution) for caution in answer.cautions]
    rows += [("source", source_title(citation)) for citation in answer.source]
    return _table(rows)


def _at(feet: int | None) -> str:
    return "" if feet is None else f", {feet:,} feet"


def _plan_lines(made: Plan) -> list[str]:
    from kitchenvoice.reference import source_title

    rows: list[tuple[str, object]] = [("status", made.status), ("plan", made.text), ("reason", made.reason)]
    if made.jars and made.lids:
        rows += [("lids", f"{made.lids.low} to {made.lids.high}")]
        for name, span, unit in (
            ("salt", made.salt_tsp, "teaspoons, if you like"),
            ("lemon juice", made.lemon_juice_tbsp, "tablespoons, bottled, or"),
            ("citric acid", made.citric_acid_tsp, "teaspoons"),
        ):
            rows += [(name, f"{span.low} to {span.high} {unit}")] if span else []
    if made.day:
        for w in made.day.windows:
            rows += [(f"load {w.load}", f"canner {w.canner}, out after {w.ends_low} to {w.ends_high} minutes")]
            stages = (f"{x.name} {x.starts_low}-{x.starts_high} to {x.ends_low}-{x.ends_high}" for x in w.stages)
            rows += [("", "; ".join(stages))]
        rows += [("times", made.day.note)]
    rows += [("recipe", f"{part.low:g} to {part.high:g} {part.unit} {part.what}") for part in made.recipe]
    rows += [("mind", note) for note in made.notes] + [("source", source_title(s)) for s in made.source]
    return _table(rows)


def _table(rows: list[tuple[str, object]]) -> list[str]:
    return [f"{name:<12} {value}" for name, value in rows if value not in (None, "")]
