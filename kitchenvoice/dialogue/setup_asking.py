"""Questions about the kitchen, one at a time: each can be skipped or put off, and is kept as soon as it is answered.

A round is what is known while questions are asked: `step` is the present one, `mode` what comes after it (`evening`:
the next that is open, `canner`: the next of that canner, `once`: nothing), `asked` the steps before it, `heard` what
waits for a yes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from kitchenvoice.dialogue import forms
from kitchenvoice.dialogue.context import Talk

__all__ = ["Round", "go_on", "keep", "put", "put_yes_no"]

Round = Mapping[str, Any]


def keep(talk: Talk, rounds: Round, step: str, **changes: Any) -> None:
    """Set values of the profile, on the disk too, and remember that `step` has been asked."""
    remembers = rounds["mode"] == "evening" or bool(talk.profile.asked)
    fresh = remembers and step not in talk.profile.asked
    changes = {**changes, "asked": (*talk.profile.asked, step) if fresh else talk.profile.asked}
    talk.profile = replace(talk.profile, **changes)
    talk.control("profile", **changes)


def put(talk: Talk, rounds: Round, expects: str, prompt: str, *, why: str = "", spoken: bool = True) -> None:
    """Ask for the present step."""
    forms.ask(talk, "setup", str(rounds["step"]), rounds, prompt, expects, why=why or "kitchen", spoken=spoken)


def put_yes_no(
    talk: Talk, rounds: Round, heard: Any, prompt: str, *, expects: str = "setup_yes_no", why: str = ""
) -> None:
    """Ask to confirm the answer heard; only yes is a yes, and it can be skipped.

    `expects` may name answers that are another value as well, which is then read back in its turn.
    """
    put(talk, {**rounds, "heard": heard}, expects, prompt, why=why)


def go_on(talk: Talk, rounds: Round) -> None:
    """Go on with the next step."""
    left = {name: value for name, value in rounds.items() if name in ("mode", "step", "asked", "then")}
    talk.forms["setup"].go_on(talk, None, {**left, "done": True})
