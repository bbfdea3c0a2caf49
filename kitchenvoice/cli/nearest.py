"""A group of commands with a suggestion for a misspelt one."""

from __future__ import annotations

import click

__all__ = ["NearestGroup"]

_SPELLED_ALIKE = 0.6
"""Of 0 to 1, as difflib counts it. Common practice, no source."""


class NearestGroup(click.Group):
    """A group of commands; a name that isn't one is answered with where it is, or the one it is spelled like."""

    groups: tuple[str, ...] = ()
    """The commands that are groups themselves, and are looked into."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read "help NAME" as "NAME --help"."""
        return super().parse_args(ctx, [*args[1:], "--help"] if args[:1] == ["help"] else args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command. Raises: UsageError naming the nearest one, or all of them."""
        from difflib import get_close_matches

        name, known = args[0], self.list_commands(ctx)
        if name in known or name.startswith("-"):
            return super().resolve_command(ctx, args)
        for each in self.groups:
            group = self.get_command(ctx, each)
            if isinstance(group, click.Group) and name in group.commands:
                raise click.UsageError(f"There is no command {name}. Write {ctx.command_path} {each} {name}.", ctx)
        near = get_close_matches(name, known, n=1, cutoff=_SPELLED_ALIKE)
        way = f"Did you mean {ctx.command_path} {near[0]}?" if near else f"There are: {', '.join(known)}."
        raise click.UsageError(f"There is no command {name[:60]}. {way}", ctx)
