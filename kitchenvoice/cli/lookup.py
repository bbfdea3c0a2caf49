"""`kitchenvoice lookup`: the tested process for a food, or why there is none."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from operator import attrgetter
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.cli import short_text
from kitchenvoice.cli.process_options import (
    EXIT,
    OwnKitchen,
    Taken,
    asked,
    narrowed,
    open_questions,
    pounds_in,
    process_options,
    put_json,
    settled,
    spaced,
    taken_words,
)
from kitchenvoice.paper.text import columns, facts, lines

if TYPE_CHECKING:
    from kitchenvoice.reference import Answer

__all__ = ["lookup_command"]

_WHICH_FOOD = "Which food? Say it like: kitchenvoice lookup carrots pints. All of them: kitchenvoice lookup --list."
_HEADS = ("Jar", "Pack", "Canner", "Time", "Pressure", "Headspace", "Page")


@click.command("lookup")
@process_options
@click.option("--option", type=short_text.text, help="The minutes wanted, where a table prints alternatives.")
@click.option("--variety", type=short_text.text, help="Such as Asian, for pears.")
@click.option("--style", type=short_text.text, help="Such as mashed or cubed.")
@click.option("--medium", type=short_text.text, help="What tomatoes are packed in: water, juice or none.")
@click.option("--bones", type=click.Choice(["with", "without"]), help="For chicken and rabbit.")
@click.option("--list", "listing", is_flag=True, help="List the foods that have a table.")
@click.pass_context
def lookup_command(
    ctx: click.Context,
    /,
    words: tuple[str, ...],
    as_json: bool,
    listing: bool,
    option: str | None,
    variety: str | None,
    style: str | None,
    medium: str | None,
    bones: str | None,
    **process: Any,
) -> None:
    """Look up the tested process of a food, or why there is none.

    WORDS may stand for the options, such as: carrots pints dial 900 feet. What isn't said is taken from the profile.
    """
    if listing:
        _list_foods(as_json)
        return
    kitchen = OwnKitchen()
    psi, line = pounds_in(" ".join(words))
    canner, line = kitchen.named(line)
    given = asked(line, process, canner)
    if psi is not None and given["method"] is None:
        given["method"] = "pressure"
    qualifiers = {
        "option": option,
        "variety": variety,
        "style": style,
        "medium": medium,
        "bones": None if bones is None else bones == "with",
    }
    answer, taken = settled(given, kitchen, **qualifiers)
    if as_json:
        put_json(narrowed(answer, psi).as_dict(), taken)
    else:
        found = [narrowed(each, psi) for each in _open(given, qualifiers)]
        for line in _lines(answer, taken, found, kitchen):
            click.echo(line)
    ctx.exit(EXIT[answer.status])


def _list_foods(as_json: bool) -> None:
    from kitchenvoice.reference import foods
    from kitchenvoice.reference.answer import plain_fields

    if as_json:
        for food in foods():
            click.echo(json.dumps(plain_fields(food), ensure_ascii=False))
        return
    rows = [(food.name, spaced(food.methods), spaced(food.packs)) for food in foods()]
    for line in columns(("Food", "Canner", "Pack"), sorted(rows)):
        click.echo(line)


def _lines(answer: Answer, taken: list[Taken], found: list[Answer], kitchen: OwnKitchen) -> Iterator[str]:
    """Yield the answer for a cook: a row for each process still open, and the notes to them."""
    from kitchenvoice.reference import publications

    if answer.status == "refused":
        yield from lines(answer.reason or "")
        yield from facts([("Source", publications(answer.source))])
        return
    if not answer.food:
        yield from lines(answer.reason or "" if answer.choices else _WHICH_FOOD)
        return
    altitude = f", at {answer.altitude_ft:,} feet" if answer.altitude_ft is not None else ""
    yield f"{str(answer.food_name).capitalize()}{altitude}"
    if found:
        yield ""
        yield from columns(_HEADS, _rows(found))
        yield ""
    yield from facts(_beside(answer, found, taken, kitchen))


def _open(given: dict[str, Any], qualifiers: dict[str, Any]) -> Iterator[Answer]:
    """Yield every process still open, as long as the tables list the choices."""
    from kitchenvoice.reference import lookup

    answer = lookup(**given, **qualifiers)
    if answer.status == "ok":
        yield answer
    elif answer.status == "incomplete":
        name = next((name for name in ("method", "gauge", "pack", "jar") if name in answer.missing), None)
        if name is not None and given[name] is None:
            for choice in answer.choices.get(name, ()):
                yield from _open({**given, name: choice}, qualifiers)


def _rows(found: list[Answer]) -> list[tuple[str, ...]]:
    """Return a row for each pair of minutes and pressure; packs that share all of it share the row."""
    from kitchenvoice.reference import guide_page

    packs: dict[tuple[str, ...], list[str]] = {}
    for answer in found:
        canner = f"{answer.gauge} gauge" if answer.gauge else (answer.method or "").replace("-", " ")
        page = next((page for source in answer.source if (page := guide_page(source))), "")
        for minutes, psi in answer.pairs:
            row = (
                answer.jar or "",
                canner,
                f"{minutes:g} minutes",
                f"{psi:g} pounds" if psi else "",
                _headspace(answer),
                page,
            )
            pack = "by its procedure" if answer.pack == "see-procedure" else str(answer.pack)
            packs.setdefault(row, []).append(pack)
    return [(row[0], " or ".join(dict.fromkeys(names)), *row[1:]) for row, names in packs.items()]


def _headspace(answer: Answer) -> str:
    text = answer.headspace_text or ""
    return text if len(text) <= 12 else "see below"


def _beside(
    answer: Answer, found: list[Answer], taken: list[Taken], kitchen: OwnKitchen
) -> Iterator[tuple[str, object]]:
    """Yield the open questions, the assumptions, and the notes to the rows."""
    from kitchenvoice.reference import publications

    same = len({row[1] for row in _rows(found)}) == 1
    yield "Still open", open_questions(answer, same_numbers=same)
    yield "Taken", taken_words(taken)
    for name, of in _NOTES.items():
        having: dict[str, list[Answer]] = {}
        for each in found:
            having.setdefault(of(each) or "", []).append(each)
        for text, those in having.items():
            yield name, text and f"{_for_which(those, found)}{text}"
    for caution in dict.fromkeys(caution for each in found for caution in each.cautions):
        yield "Mind", caution
    yield from (("Your dial", told) for told in kitchen.on_dials(found))
    cited = (source for each in found for group in (each.source, *each.sources.values()) for source in group)
    yield "Source", publications(tuple(cited))


def _for_which(those: list[Answer], found: list[Answer]) -> str:
    """Name the jars and the packs of these answers, where others have other ones."""
    named = []
    for of, tail in ((attrgetter("jar"), ""), (attrgetter("pack"), " pack")):
        mine = dict.fromkeys(map(of, those))
        named += [] if set(mine) == set(map(of, found)) else [" or ".join(mine) + tail]
    return f"{', '.join(named)}: " if named else ""


_NOTES: Mapping[str, Callable[[Answer], str | None]] = MappingProxyType(
    {
        "Headspace": lambda each: each.headspace_text if _headspace(each) == "see below" else None,
        "Acid": lambda each: each.acid.text if each.acid else None,
        "Salt": lambda each: each.salt_text,
        "Jars": lambda each: "Sterile, before they are filled." if each.sterile_jars else None,
        "Canner": lambda each: each.canner.text if each.canner else None,
        "Packing": lambda each: each.preparation,
    }
)
