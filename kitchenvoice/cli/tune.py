"""`kitchenvoice tune`: the hearing test: how well the cook is heard where the microphone stands now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

import click

from kitchenvoice.app.hearing_test import (
    SENTENCES,
    SentenceResult,
    advice,
    alike_in,
    compared,
    gain_for,
    in_words,
    judged,
    listen_for_one,
)
from kitchenvoice.errors import BadAudio
from kitchenvoice.hearing.recordings import Recordings
from kitchenvoice.kitchen.folder import home
from kitchenvoice.kitchen.profile import Profile, change_profile, load_profile
from kitchenvoice.terminal import Printer

if TYPE_CHECKING:
    from kitchenvoice.grammar import Grammar
    from kitchenvoice.hearing import Listener

__all__ = ["tune_command"]

_BEFORE = (
    "Stand where you work, with the hood on, and say each sentence as you would in the middle of things. "
    "What you say is kept in {folder}, and nowhere else, until you say: kitchenvoice tune --delete"
)
_SET = "From the next start on I make the microphone {gain:.0f} decibels louder than it is."
_SET_BACK = "From the next start on I take the microphone as it is."
_SET_ALIKE = "From the next start on I ask back what may have been another number: {pairs}."
_NONE_ALIKE = "From the next start on I take your numbers as I hear them."
_NOTHING_SET = "I have nothing to set."
_NONE_KEPT = "There are no recordings in {folder}. kitchenvoice tune makes some."


@click.command("tune")
@click.option(
    "--sentences",
    type=click.IntRange(1, len(SENTENCES)),
    default=len(SENTENCES),
    show_default=True,
    help="How many to say.",
)
@click.option("--again", is_flag=True, help="Listen to the recordings that are kept; compare with the last time.")
@click.option("--delete", "deleting", is_flag=True, help="Delete the recordings that are kept.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def tune_command(sentences: int, again: bool, deleting: bool, as_json: bool) -> int:
    """Say a dozen sentences, and see how well you are heard."""
    printer = Printer(True if as_json else None)
    folder = home()
    kept = Recordings(folder)
    if deleting:
        number = kept.delete()
        gone = "1 recording is" if number == 1 else f"{number} recordings are"
        printer.put({"deleted": number}, f"{gone} deleted.")
        return 0
    if again and not any(True for _ in kept.all()):
        raise BadAudio(_NONE_KEPT.format(folder=kept.folder))
    profile = load_profile(folder)
    ear = _Ear.ready(profile)
    heard = []
    for each in ear.again(kept) if again else ear.record(kept, printer, sentences):
        heard.append(each)
        printer.put(each.fields(), each.line())
    right, understood = sum(each.right for each in heard), {each.said: each.right for each in heard}
    told, change = advice(heard), compared(understood, kept.last())
    kept.note(kept.last() | understood)
    best = profile if again else _set_by(heard, profile)
    if best != profile:
        change_profile(folder, profile, best)
    words = " ".join(filter(None, (in_words(right, len(heard)), change, told, _what_was_set(best, profile))))
    told_too = {"gain_db": best.gain_db, "alike": list(best.alike)}
    printer.put({"said": len(heard), "right": right, "change": change, "advice": told, **told_too}, words)
    return 0


def _set_by(heard: list[SentenceResult], profile: Profile) -> Profile:
    """Return the profile with what this voice needs."""
    return replace(profile, gain_db=gain_for(heard, profile.gain_db), alike=alike_in(heard, profile.alike))


def _what_was_set(now: Profile, before: Profile) -> str:
    told = []
    if now.gain_db != before.gain_db:
        told.append(_SET.format(gain=now.gain_db) if now.gain_db else _SET_BACK)
    if now.alike != before.alike:
        pairs = ", ".join(" as ".join(pair.split()) for pair in now.alike)
        told.append(_SET_ALIKE.format(pairs=pairs) if pairs else _NONE_ALIKE)
    return " ".join(told) or _NOTHING_SET


@dataclass(frozen=True, slots=True)
class _Ear:
    """The ear of the session, listening for everything at any stage."""

    listener: Listener
    grammar: Grammar
    profile: Profile

    @classmethod
    def ready(cls, profile: Profile) -> _Ear:
        """Load the model. Raises: ModelMissing."""
        from kitchenvoice.app.compose import kitchen_listener
        from kitchenvoice.grammar import STAGES, GrammarBook

        grammar = GrammarBook.load().grammar(STAGES, attention="required", wake_phrase=profile.attention)
        return cls(kitchen_listener(profile, grammar), grammar, profile)

    def record(self, kept: Recordings, printer: Printer, number: int) -> Iterator[SentenceResult]:
        """Have so many sentences said, keep the sound, yield each as heard.

        Raises: DeviceMissing, DeviceLost, BadAudio.
        """
        from kitchenvoice.app.drivers import leave_hanging_drivers, quiet_drivers
        from kitchenvoice.clock import SystemClock
        from kitchenvoice.hearing import Microphone

        with quiet_drivers():
            microphone, clock = Microphone(self.profile.input_device, self.profile.gain_db), SystemClock()
            blocks = microphone.blocks()
            try:
                next(blocks)  # opens the device before anything is asked
                printer.put({"folder": str(kept.folder)}, _BEFORE.format(folder=kept.folder))
                for sentence in SENTENCES[:number]:
                    said = f"{self.profile.attention} {sentence}"
                    printer.put({"say": said}, f"Say: {said}")
                    sound, utterances = listen_for_one(blocks, self.listener)
                    kept.keep(said, sound, datetime.fromtimestamp(clock.now().utc).astimezone())
                    yield judged(said, utterances, sound, self.grammar)
            finally:
                microphone.close()
                leave_hanging_drivers(0)

    def again(self, kept: Recordings) -> Iterator[SentenceResult]:
        """Yield what is heard of each recording now. Raises: BadAudio if one can't be read."""
        from kitchenvoice.hearing import read_wav

        for said, file in kept.all():
            sound = read_wav(file)
            utterances = (*self.listener.feed(sound), *self.listener.flush())
            yield judged(said, utterances, sound, self.grammar)
