"""Mistakes in a command line, each in one sentence that names what to write instead."""

from __future__ import annotations

import re

import click

__all__ = ["wrong"]

_RANGE = re.compile(r"^(?P<head>.*?)(?P<value>\S+) is not in the range (?P<low>[\d.]+)<=?x<=?(?P<high>[\d.]+)")
_KIND = re.compile(r"^(?P<head>.*?)(?P<value>'.*') is not a valid (?P<kind>integer|float)(?: range)?")
_DAY = re.compile(r"^(?P<head>.*?)(?P<value>'.*') does not match the format")
_OPTIONAL = re.compile(r"'\[(?P<name>[^']*)\]'")
_BELOW = re.compile(r"^No such option '?(?P<value>-\d)")
_EXTRA = re.compile(r"^Got unexpected extra arguments? \((?P<words>.*)\)$")


def wrong(error: click.ClickException) -> str:
    """Return the whole sentence about a mistaken command line, with an example or the command whose help tells more."""
    context: click.Context | None = getattr(error, "ctx", None)
    command = context.command_path if context else "kitchenvoice"
    said = _plain(error.format_message().rstrip("."), context)
    example = context.command.epilog if context and isinstance(error, click.MissingParameter) else None
    return f"{said}{'' if said.endswith('?') else '.'} {example or f'{command} --help tells more.'}"


def _plain(said: str, context: click.Context | None) -> str:
    said = _OPTIONAL.sub(r"\g<name>", said)
    if found := _DAY.match(said):
        return f"{found['head']}{found['value']} isn't a day. Write it like 2026-07-15"
    if found := _RANGE.match(said):
        return f"{found['head']}{found['value']} is outside {found['low']} to {found['high']}"
    if found := _KIND.match(said):
        return f"{found['head']}{found['value']} isn't a {'whole ' if found['kind'] == 'integer' else ''}number"
    if found := _BELOW.match(said):
        return f"{found['value']} is below zero. Write the number without the minus"
    if (found := _EXTRA.match(said)) and context is not None:
        options = [each.opts[0] for each in context.command.params if isinstance(each, click.Option)]
        return f"{found['words']} stands alone: write it after the option it belongs to ({', '.join(options)})"
    return said
