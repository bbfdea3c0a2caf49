"""`kitchenvoice practice`: a day without heat, in a logbook to be thrown away."""

from __future__ import annotations

import random
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.cli.short_text import require_number
from kitchenvoice.errors import DeviceLost, DeviceMissing, ModelMissing, VoiceMissing
from kitchenvoice.language import Language, in_figures
from kitchenvoice.terminal import Screen, complain

if TYPE_CHECKING:
    from kitchenvoice.app.compose import OpenKitchen
    from kitchenvoice.app.session import Mouthpiece
    from kitchenvoice.dialogue.conversation import Conversation
    from kitchenvoice.rehearsal.practice_day import LeapingClock, PracticeDay
    from kitchenvoice.rehearsal.practice_stove import Stove

    _Make = Callable[[Mouthpiece], PracticeDay]

__all__ = ["practice_command"]

_FIRST_SOUND_S = 3.0
_LAST_WORDS_S = 30.0
_SIGNS = {"kitchenvoice": "  ", "heard": "> ", "trouble": "! ", "practice": "* "}


@click.command("practice")
@click.option("--typed", is_flag=True, help="Take the sentences from the keyboard; no sound is needed.")
@click.option(
    "--speed",
    type=click.FloatRange(1, 1000),
    default=60.0,
    show_default=True,
    help="How many times faster time goes while nobody is asked.",
)
@click.option("--calm", is_flag=True, help="Let nothing go wrong.")
@click.option("--seed", type=int, help="A number that brings the same day again.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def practice_command(typed: bool, speed: float, calm: bool, seed: int | None, as_json: bool) -> int:
    """Practise a canning day. Nothing is hot, nothing is recorded, things go wrong, time leaps ahead."""
    require_number("--speed", speed)
    screen = Screen(True if as_json else None)
    try:
        with TemporaryDirectory(prefix="kitchenvoice-practice-") as folder:
            return _practise(screen, Path(folder), typed=typed, speed=speed, calm=calm, seed=seed)
    except (ModelMissing, DeviceMissing, DeviceLost, VoiceMissing) as exc:
        screen.close()
        complain(f"{exc} Or type instead: kitchenvoice practice --typed.")
        return exc.exit_code
    finally:
        screen.close()


def _show(screen: Screen, language: Language) -> Callable[[str, str, str | None], None]:
    def show(who: str, text: str, event: str | None) -> None:
        written = in_figures(language, text)
        human = f"practice {_SIGNS[who]}{written}" if who in _SIGNS and text else None
        if who == "heard" and text and event is None:
            human = f"practice > {written}   (not taken)"
        screen.put({"who": who, "text": text or None, "event": event, "practice": True}, human)

    return show


def _practise(screen: Screen, folder: Path, *, typed: bool, speed: float, calm: bool, seed: int | None) -> int:
    from kitchenvoice.app import compose
    from kitchenvoice.app.described import described
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.rehearsal.practice_day import LeapingClock
    from kitchenvoice.rehearsal.practice_stove import FAULTS, Stove

    stove = Stove(random.Random(seed), () if calm else FAULTS)
    clock = LeapingClock(SystemClock())
    with closing(compose.open_kitchen(practice=folder)) as kitchen:
        screen.put(
            {"who": "start", "text": described(kitchen.profile), "event": "profile", "practice": True},
            f"Practice, in this kitchen: {described(kitchen.profile)}. Nothing is recorded.",
        )

        def make(mouth: Mouthpiece) -> PracticeDay:
            return _day(screen, kitchen, mouth, clock, stove, speed, typed)

        if typed:
            _typed(screen, kitchen.conversation, make)
        else:
            _spoken(screen, kitchen, make)
    return 0


def _day(
    screen: Screen,
    kitchen: OpenKitchen,
    mouth: Mouthpiece,
    clock: LeapingClock,
    stove: Stove,
    speed: float,
    typed: bool,
) -> PracticeDay:
    """Put session, stove and mouth together."""
    from kitchenvoice.app.compose import practice_session
    from kitchenvoice.ports import Announcement, Urgency
    from kitchenvoice.rehearsal.practice_day import PracticeDay, PracticeMouth

    made: list[PracticeDay] = []
    language = kitchen.conversation.talk.language
    show = _show(screen, language)
    marked = PracticeMouth(
        mouth,
        lambda text: language.say("practice", "mark", text=text),
        lambda text: made[0].said(text) if made else None,
    )

    def tell(text: str) -> None:
        show("practice", text, None)
        marked.say(Announcement(text, Urgency.READBACK))

    session = practice_session(kitchen, clock, marked, show, typed=typed)
    made.append(PracticeDay(session, kitchen.conversation, clock, stove, tell, speed=speed, read=typed))
    return made[0]


def _end(screen: Screen, day: PracticeDay, conversation: Conversation, mouth: Mouthpiece) -> None:
    """Tell how it went."""
    from dataclasses import asdict

    from kitchenvoice.ports import Announcement, Urgency
    from kitchenvoice.rehearsal.practice_report import facts_of, report

    language, tally = conversation.talk.language, day.tally
    for trouble in tally.troubles:
        fields = {**asdict(trouble), "after_s": trouble.after_s}
        screen.put({"who": "report", "event": "trouble", "practice": True, **fields})
    for called in tally.calls.values():
        screen.put({"who": "report", "event": "call", "practice": True, **asdict(called)})
    text = report(language, tally)
    lines = "\n".join(f"  - {fact}" for fact in facts_of(language, tally))
    screen.put(
        {"who": "report", "text": text, "event": "end", "practice": True},
        f"Practice is over.\n{lines}\n  - Nothing of it is in your record.",
    )
    mouth.say(Announcement(text, Urgency.READBACK))


# ---------------------------------------------------------------- typed and spoken


def _typed(screen: Screen, conversation: Conversation, make: _Make) -> None:
    from kitchenvoice.app.keyboard import end_when_told, read_keyboard
    from kitchenvoice.app.session import SilentMouth
    from kitchenvoice.app.thread_errors import thread_errors_said

    mouth = SilentMouth()
    day = make(mouth)
    end_when_told(day.inbox)
    read_keyboard(day.inbox)
    with thread_errors_said(day.inbox):
        day.run()
    _end(screen, day, conversation, mouth)


def _spoken(screen: Screen, kitchen: OpenKitchen, make: _Make) -> None:
    from kitchenvoice.app import drivers

    with drivers.quiet_drivers():
        try:
            _speak(screen, kitchen, make)
        finally:
            drivers.leave_hanging_drivers(0)


def _speak(screen: Screen, kitchen: OpenKitchen, make: _Make) -> None:
    from kitchenvoice.app import compose, keyboard
    from kitchenvoice.app.languages import model_of
    from kitchenvoice.app.listening import LiveMouth, told_to
    from kitchenvoice.app.thread_errors import thread_errors_said

    profile = kitchen.profile
    model = model_of(profile)
    live: dict[str, Any] = {}
    voice = compose.load_mouth(profile, live)
    mouth = LiveMouth(voice)
    day = make(mouth)
    ear = compose.live_ear(profile, model, kitchen.conversation, day.inbox)
    day.listen_with(ear)
    live["speaking"] = ear.while_speaking
    live.update(told_to(day.inbox))
    try:
        ear.start()
        if not ear.wait_until_listening(_FIRST_SOUND_S):
            raise DeviceMissing("There is no microphone that gives sound. Plug one in, or choose another.")
        voice.start()
        keyboard.end_when_told(day.inbox)
        keyboard.read_keyboard(day.inbox, ends=False)
        with thread_errors_said(day.inbox):
            day.run()
        _end(screen, day, kitchen.conversation, mouth)
    finally:
        ear.close()
        voice.finish(_LAST_WORDS_S)
        voice.close()
