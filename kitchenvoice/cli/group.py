"""The command line. Every command is imported only when it is called, so that a look-up needn't wait for the ear."""

from __future__ import annotations

import errno
import importlib
import os
import sys
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType

import click

from kitchenvoice.cli.logs import logged, tell_more
from kitchenvoice.cli.nearest import NearestGroup
from kitchenvoice.cli.usage import wrong
from kitchenvoice.errors import KitchenVoiceError
from kitchenvoice.terminal import complain

__all__ = ["main"]

_COMMANDS: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "start": ("kitchenvoice.cli.start", "start_command"),
        "practice": ("kitchenvoice.cli.practice", "practice_command"),
        "card": ("kitchenvoice.cli.card", "card_command"),
        "check": ("kitchenvoice.cli.check", "check_command"),
        "fetch-model": ("kitchenvoice.cli.fetch_model", "fetch_model_command"),
        "hear": ("kitchenvoice.cli.hear", "hear_command"),
        "sound": ("kitchenvoice.cli.sound", "sound_command"),
        "tune": ("kitchenvoice.cli.tune", "tune_command"),
        "rehearse": ("kitchenvoice.cli.rehearse", "rehearse_command"),
        "demo": ("kitchenvoice.cli.rehearse", "demo_command"),
        "lookup": ("kitchenvoice.cli.lookup", "lookup_command"),
        "sheet": ("kitchenvoice.cli.sheet", "sheet_command"),
        "plan": ("kitchenvoice.cli.plan", "plan_command"),
        "explain": ("kitchenvoice.cli.explain", "explain_command"),
        "autostart": ("kitchenvoice.cli.install", "autostart_command"),
        "launcher": ("kitchenvoice.cli.install", "launcher_command"),
        "update": ("kitchenvoice.cli.install", "update_command"),
        "uninstall": ("kitchenvoice.cli.install", "uninstall_command"),
        "logbook": ("kitchenvoice.cli.logbook", "logbook_commands"),
    }
)

_WITH_SOUND = frozenset({"start", "practice", "check", "hear", "tune", "rehearse", "demo"})

_FIRST: Mapping[str, str] = MappingProxyType(
    {
        "start": "begin a canning day: it listens and talks (--typed: from the keyboard)",
        "practice": "try a day on which nothing is hot",
        "check": "see whether microphone, speaker, record and all else are in order",
        "card": "see what can be said (--out card.pdf: one page to hang by the stove)",
    }
)
"""What a newcomer needs, and nothing else."""

_NO_OUTPUT = 3
_OF_OUTPUT = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO, errno.EBADF})


class _Lazy(NearestGroup):
    """A group whose commands are imported by name, on demand."""

    groups = ("logbook",)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names in the order of a day."""
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command."""
        if cmd_name not in _COMMANDS:
            return None
        if cmd_name in _WITH_SOUND:
            from kitchenvoice.audio import share_one_store

            share_one_store()
        module, name = _COMMANDS[cmd_name]
        found = getattr(importlib.import_module(module), name)
        return found if isinstance(found, click.Command) else None


@click.group(cls=_Lazy, no_args_is_help=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="kitchenvoice", prog_name="kitchenvoice")
@click.option("-v", "--verbose", count=True, help="Tell on standard error what is done; twice: every detail.")
def _group(verbose: int) -> None:
    """An offline, voice-driven, hands-free assistant for a canning day."""
    tell_more(verbose)


def _greeting() -> str:
    """First commands for a newcomer, under the name that the program was called by."""
    called = sys.argv[0] if os.sep in sys.argv[0] and not Path(sys.argv[0]).is_absolute() else "kitchenvoice"
    width = max(map(len, _FIRST))
    lines = (f"  {called} {name:<{width}}   {does}" for name, does in _FIRST.items())
    return "\n".join(
        (
            "kitchenvoice leads a canning day by voice. Begin with one of these:",
            *lines,
            f"All it can do: {called} --help",
        )
    )


def _run() -> object:
    """Run the command called for; without the group's own way, which takes a closed pipe for a failure."""
    try:
        with logged(), _group.make_context("kitchenvoice", sys.argv[1:]) as context:
            return _group.invoke(context)
    except click.exceptions.Exit as exc:
        return exc.exit_code


def _discard_output() -> None:
    """Discard buffered output: the interpreter's last flush would complain."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def main() -> None:
    """Run a command; an error is one sentence on standard error, with an exit code of its own."""
    if sys.stdout is None:
        complain("There is no standard output to tell anything on. Start it with one.")
        sys.exit(_NO_OUTPUT)
    try:
        code = _run()
        sys.stdout.flush()
    except click.ClickException as exc:
        if type(exc).__name__ == "NoArgsIsHelpError":  # its message is the help itself
            with suppress(OSError):
                click.echo(_greeting() if not sys.argv[1:] else exc.format_message(), err=True)
        else:
            complain(wrong(exc))
        sys.exit(2)
    except click.Abort:  # a question that nobody answered
        complain("Stopped before it was done.")
        sys.exit(130)
    except KitchenVoiceError as exc:
        complain(str(exc))
        sys.exit(exc.exit_code)
    except BrokenPipeError:
        _discard_output()
        sys.exit(0)
    except Exception as exc:
        if isinstance(exc, OSError) and exc.errno in _OF_OUTPUT:
            _discard_output()
            complain(f"What was asked for can't be written: {exc.strerror}. Make room, or choose another output.")
            sys.exit(_NO_OUTPUT)
        if sys.argv[1:2] in (["-v"], ["-vv"], ["--verbose"]):
            raise
        why = ": ".join(filter(None, (type(exc).__name__, str(exc))))
        complain(
            f"This can't go on, {why}. If the machine lacks memory or allows few files, close other programs. "
            f"kitchenvoice -v {' '.join(sys.argv[1:2])} tells where it was."
        )
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)
