"""Answers to sentences that weren't understood: less and less, until somebody calls.

A short prompt, then what can be said, then silence. What hedges an answer about the stove is a doubt.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from kitchenvoice.dialogue import doubting, frames, losses, overheard, perils, sayable, statements, steering, step_words
from kitchenvoice.dialogue.context import Talk
from kitchenvoice.dialogue.missing import three_to_say
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.understand import Understanding
from kitchenvoice.grammar import Grammar
from kitchenvoice.grammar.typos import mistyped
from kitchenvoice.ports import Utterance
from kitchenvoice.process import Load, Stage
from kitchenvoice.reference.nearness import asks
from kitchenvoice.reference.weighing import likelihood

__all__ = ["Miss", "ask_for_number", "doubt_check", "slip", "taper"]

_YES_OR_NO = frozenset({"yes_no", "load_ok"})
_OF_OURS = ("of_stove", "of_vent", "of_jars", "of_food")
"""What a sentence is about that gets offers of what can be said; any other may be talk of the kitchen."""
_ASKED = frozenset({"not_sure_dial", "not_sure_pack", "not_sure_count"})
_MOST_MISSES = 2


@dataclass(frozen=True, slots=True)
class Miss:
    """An utterance outside the grammar: its readings, the open question, and the active grammar."""

    utterance: Utterance
    understood: Understanding
    question: Frame | None
    live: Grammar
    typed: bool
    called: bool

    @property
    def text(self) -> str:
        """The words that were heard best."""
        return self.understood.text

    @property
    def typed_text(self) -> str:
        """The words with their punctuation."""
        return " ".join(self.utterance.alternatives[:1])

    @property
    def unsure(self) -> bool:
        """True if something else is nearly as likely to have been said."""
        return self.understood.reject_reason == "unsure"

    @property
    def form(self) -> bool:
        """True if a form asks for more than yes or no."""
        return self.question is not None and self.question.kind == "form" and self.question.expects not in _YES_OR_NO


def taper(talk: Talk, miss: Miss) -> None:
    """Say that it wasn't understood: first briefly, then with examples, then only if called by name."""
    talk.misses += 1
    asked = miss.question
    if asked is not None and asked.about == "said" and talk.misses >= _MOST_MISSES:  # it was guessed wrong
        frames.close(talk, asked)
        talk.kinds[asked.kind].lapse(talk, asked)
        miss = replace(miss, question=None)
        asked = None
    if asked is not None and asked.kind in ("loss", "yes_no") and talk.language.hears("unknown", miss.text):
        talk.misses = 0
        if asked.kind == "loss":
            losses.unknown(talk, asked, miss.text)
        else:
            frames.again(talk, asked)
        return
    if asked is not None and talk.language.hears("hedge", miss.text):
        talk.misses = 0
        if doubt_check(talk, asked, miss.text):
            return
    if miss.called and perils.warn(talk, miss.text):
        return
    if not _say(talk, miss):
        talk.note("ignored", miss.text, reason="missed_often")
    still = talk.question
    told = still is not None and talk.misses == _MOST_MISSES and not still.passive  # the help repeats it
    if still is not None and talk.misses <= _MOST_MISSES and (told or still == asked):
        frames.wait_on(talk, still)


def _say(talk: Talk, miss: Miss) -> bool:
    first, helps, asked = talk.misses <= 1, talk.misses == _MOST_MISSES, miss.question
    strange = slip(talk, miss)
    counts = bool(talk.kitchen.claiming)
    tells = likelihood(miss.text) >= statements.SURELY_TOLD
    may_be_read = statements.may_be_read(talk, miss.text)
    if strange is not None:
        talk.say("not_understood", "mistyped", word=strange[0], known=strange[1])
    elif asked is not None and _asks_fully(miss, asked) and not helps and (miss.called or first):
        talk.say("not_understood", "again_asked", prompt=frames.words(talk, asked))
    elif first and counts and statements.tells_of_loss(talk, miss.text):
        talk.say("not_understood", "not_sure")
    elif first and (not miss.typed or (asked is not None and not asked.passive)):
        talk.say("not_understood", "again")
    elif first and asks(overheard.without_name(talk, miss.text)):
        talk.say("not_understood", "unanswered")
    elif helps and miss.called and talk.question is not None and talk.question.kind == "check":
        talk.say("not_understood", "not_sure")  # it is asked next what the load does
    elif helps:
        talk.say("not_understood", "no_match_help", help=steering.help_text(talk))
    elif first and (counts or tells) and statements.may_tell(talk, miss.text) and not may_be_read:
        talk.say("not_understood", "not_sure")  # it is asked what it was about
    elif first and miss.typed and ask_for_number(talk):
        pass
    elif first and talk.kitchen.open_loads and not _is_of_ours(talk, miss.text):
        load = talk.focus if miss.typed else None
        talk.say(
            "not_understood",
            _with_what_is_awaited(load),
            step="" if load is None else step_words.tell_step(talk, load, again=True),
        )
    elif first:
        said = talk.language.say("steering", "help", phrases=three_to_say(talk, miss.text))
        talk.say("not_understood", "no_match_help", help=said)
    elif miss.called:
        talk.say("not_understood", "cant_answer", attention=talk.profile.attention)
    else:
        return False
    return True


def ask_for_number(talk: Talk) -> bool:
    """Ask for the number that is awaited, if one is; tell whether it did."""
    awaited = _with_what_is_awaited(talk.focus)
    if awaited in _ASKED:
        talk.say("not_understood", awaited)
    return awaited in _ASKED


def _with_what_is_awaited(load: Load | None) -> str:
    """Return the words for what wasn't understood, with the question for the number that is awaited, or the step."""
    if load is None:
        return "not_sure"
    if load.process.is_dial and load.stage in (Stage.COME_UP, Stage.HOLD, Stage.COOL) and not load.at_zero:
        return "not_sure_dial"
    if load.stage is Stage.COUNT or (load.stage is Stage.PACK and (load.packed or load.step == "fill")):
        return f"not_sure_{load.stage.value}"
    return "not_sure_step" if load.stage in (Stage.PACK, Stage.CANNER) else "not_sure"


def _asks_fully(miss: Miss, asked: Frame) -> bool:
    """True if the question is said again: of a form, of what a hold hangs on and what is read back, if typed."""
    return miss.form or (miss.typed and asked.kind in ("loss", "yes_no"))


def _is_of_ours(talk: Talk, text: str) -> bool:
    return any(talk.language.hears(each, text) for each in _OF_OURS)


def slip(talk: Talk, miss: Miss) -> tuple[str, str] | None:
    """Return a word that was mistyped and the one that is known for it; `None` without one."""
    if not miss.typed:
        return None
    known = sayable.grammar(talk, talk.t, typed=not miss.form)
    return mistyped(miss.text, known, talk.book.words, answer=miss.form)


def doubt_check(talk: Talk, question: Frame, text: str) -> bool:
    """Take an unclear answer to a stove check as a doubt, and ask about it."""
    load = talk.kitchen.load(question.load)
    if question.kind != "check" or load is None or talk.language.hears("no_fall", text):
        return False
    if (named := statements.named_loads(talk, text)) and load not in named:
        return False
    talk.say("losses", "no_answer")
    doubting.not_understood(talk, text, [load])
    return True
