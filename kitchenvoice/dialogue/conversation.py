"""One turn after another: an utterance or a tick of the clock in, events and sentences out.

The rule of attention lives here: without the wake phrase, only an answer to an open question is acted on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cache, partial

from kitchenvoice.dialogue import (
    checks,
    choosing,
    contradicting,
    crocks,
    doubting,
    frames,
    greeting,
    overheard,
    perils,
    render,
    sayable,
    setup,
    statements,
    steering,
)
from kitchenvoice.dialogue.answering import ask_for_yes_or_no, ask_hedged, begins, by_number, falls, of_its_gauge
from kitchenvoice.dialogue.awaited import answer_and_more, as_awaited, number_first
from kitchenvoice.dialogue.context import Pantry, Talk
from kitchenvoice.dialogue.forgotten import ask_forgotten
from kitchenvoice.dialogue.how_many import of_its_jars
from kitchenvoice.dialogue.knowing import answer_first, is_question
from kitchenvoice.dialogue.missing import two_foods
from kitchenvoice.dialogue.not_understood import doubt_check
from kitchenvoice.dialogue.noting import as_it_stands, spoken_note
from kitchenvoice.dialogue.putting_right import as_put_right, put_right
from kitchenvoice.dialogue.question import Frame
from kitchenvoice.dialogue.registry import FORMS, HANDLERS, KINDS
from kitchenvoice.dialogue.replying import replied, unless_said_otherwise
from kitchenvoice.dialogue.rewording import clauses, has_to_be_sure, later, parts_known, pieces, reworded, without_tails
from kitchenvoice.dialogue.several import of_another_too, of_each
from kitchenvoice.dialogue.timer_names import by_own_name
from kitchenvoice.dialogue.turn import Heard, Turn
from kitchenvoice.dialogue.understand import Understanding, understand
from kitchenvoice.dialogue.unmatched import answer_unmatched, note_asleep
from kitchenvoice.dialogue.whose import of_none, was_of_another
from kitchenvoice.grammar import Grammar, GrammarBook, Scope, intents_that, written
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.ports import Urgency, Utterance
from kitchenvoice.process import Due, Event
from kitchenvoice.reference.nearness import asks

__all__ = ["Conversation"]

_REPORTS, _OF_A_LOAD = intents_that("report"), intents_that("report", "of_load")
_ANSWERS, _BARE, _ASIDES = intents_that("answer"), intents_that("bare"), intents_that("aside")
_ALARMS, _TAKEN_UNNAMED = intents_that("alarm"), intents_that("report", "alarm")
_AT_THE_LID, _CALM, _OFF_A_GAUGE = intents_that("at_lid"), intents_that("calm"), intents_that("by_gauge", "loss")
_NAMING = frozenset({"load", "food", "food_group", "canner"})
_NUMBERS = frozenset({"altitude", "count", "how_many_in", "setup_altitude", "setup_canners", "setup_jars"})
"""Questions whose answer is a number."""


class Conversation:
    """The dialogue of one kitchen. Takes utterances and the time; returns turns.

    Deterministic: the same profile, history, utterances and times give the same turns.
    """

    def __init__(
        self,
        book: GrammarBook,
        profile: Profile,
        history: Sequence[Event] = (),
        *,
        last_seq: int = 0,
        last_load: int = 0,
        pantry: Pantry | None = None,
    ) -> None:
        self.talk = Talk(book, profile, history, last_seq=last_seq, last_load=last_load, pantry=pantry)
        self.talk.kinds, self.talk.forms = KINDS, FORMS
        self.talk.obey, self.talk.tell = self._handle, render.tell

    def use(self, book: GrammarBook) -> None:
        """Listen by another book from now on: the canners are called otherwise."""
        self.talk.book = book

    # ------------------------------------------------------------ listening

    def open_question(self, t: float) -> Frame | None:
        """Return the question that may be answered without the wake phrase at `t`."""
        return sayable.open_question(self.talk, t)

    def grammar(self, t: float, *, typed: bool = False) -> Grammar:
        """Return the grammar of the sentences that can be said at `t`."""
        return sayable.grammar(self.talk, t, typed=typed)

    def listening_scope(self, t: float, *, typed: bool = False) -> Scope:
        """Return the scope listened for at `t`, as plain data; `typed` words are always meant for us."""
        return sayable.scope(self.talk, t, typed=typed)

    def hear(self, utterance: Utterance, t: float, *, typed: bool = False) -> Turn:
        """Take one utterance; `typed` words are always meant for us."""
        self._run_clock(t)
        self.talk.written = typed
        self.talk.sound = (None, None) if typed else (utterance.level_dbfs, utterance.trouble)
        for each in of_each(self.talk, utterance, typed=typed):
            self._take(each, t, typed=typed)
        render.call_held_back(self.talk)
        return self._finish()

    def _take(self, utterance: Utterance, t: float, *, typed: bool, of: int | None = None) -> None:
        """Handle a sentence, or its parts, and weigh the rest. `of`: the load that the rest names."""
        talk, text = self.talk, " ".join(utterance.alternatives[:1])
        scope = self.listening_scope(t, typed=typed)
        known = (as_it_stands(text, talk.question, talk.language) or by_own_name(talk, text)) if typed else None
        short: Understanding | None = None
        understood = known or understand(utterance, grammar := talk.book.grammar(**scope))
        if understood.intent is None and utterance.dictation:
            understood = spoken_note(utterance.dictation, talk.profile.attention, talk.language) or understood
        setting_up = talk.question is not None and talk.question.about == "setup"
        if typed and talk.language.hears("both_ways", text.lower()):
            understood = replace(understood, intent=None, reject_reason="no_match")
        elif typed and known is None and not setting_up:
            understood, short, parts = self._in_other_words(understood, text, grammar)
            if parts:
                self._take_parts(without_tails(parts, text, partial(statements.names_less, talk)), text, t)
                return
        if typed and understood.intent in _OFF_A_GAUGE and statements.reads_nothing(talk, understood):
            understood = replace(understood, intent=None, reject_reason="no_match")
        was = contradicting.Before(talk.kitchen, talk.question, asked := self.open_question(t))
        called = understood.attention or typed or t <= talk.attention_until
        told = {name: getattr(understood, name) for name in ("intent", "slots", "reject_reason")}
        talk.note("heard", understood.text, **told, scope=scope)
        if (called or asked is not None) and not short and answer_first(talk, understood.text):
            pass
        elif understood.intent is None:
            answer_unmatched(talk, utterance, understood, t, typed=typed)
        else:
            self._act(understood, t, typed=typed, of=of)
        perils.sees_in(talk, text)
        contradicting.weigh(talk, understood, was, called=called, text=text)

    def _in_other_words(
        self, said: Understanding, text: str, grammar: Grammar
    ) -> tuple[Understanding, Understanding | None, Sequence[tuple[str, Understanding]]]:
        """Return the meaning of typed words, again if they are short for what is awaited, and the parts they make."""
        is_known, anywhere = partial(is_question, self.talk), partial(sayable.anywhere, self.talk, typed=True)

        def meant_in(there: Grammar, part: str) -> Understanding:
            return reworded(understand(Utterance((part,)), there), there, is_known)

        here = cache(partial(meant_in, grammar))
        right = as_put_right(self.talk, said, text, here) or of_another_too(self.talk, said)
        if right or (right := replied(self.talk, said, text, here) or number_first(self.talk, said, text, here)):
            return right, right, ()

        @cache
        def meant_by(part: str) -> Understanding:
            found = here(part)
            return found if found.intent is not None else meant_in(anywhere(), part)

        def asked(part: str) -> bool:
            return asks(part) and (is_known(part) or bool(self.talk.question and self.talk.question.of_stove))

        both = answer_and_more(self.talk, said, grammar, meant_by, is_known) if said.intent is None else ()
        parts = parts_known(text, here, asked) if said.intent is None and not both else ()
        told = said if parts else reworded(said, grammar, is_known)
        told = said if told is not said and later(told, anywhere()) else told  # a report of another stage
        if told is not said and told.intent in _ALARMS:  # two known statements are no loss by their words
            parts = clauses(said.text, grammar, meant_by, whole=True) or pieces(text, here, lambda *_: False, asked)
        said = said if parts else told
        said = (short := as_awaited(self.talk, said, text)) or unless_said_otherwise(self.talk, said, text)
        if said.intent in _OF_A_LOAD and self.talk.language.hears("own", said.text):
            said = replace(said, intent=None, reject_reason="no_match")  # "did i say five" asks
        if both or said.intent is not None or anywhere().parse(said.text):
            return said, short, both
        parts = parts or clauses(said.text, grammar, meant_by)
        parts = parts or pieces(text, here, partial(statements.is_idle, self.talk), asked)
        left = statements.off_under_pressure(self.talk, said, parts, meant_by)
        return (left, short, ()) if left else (said, short, [(part, meant_by(part)) for part in parts])

    def _take_parts(self, parts: Sequence[tuple[str, Understanding]], text: str, t: float) -> None:
        told = [meant for _, meant in parts]
        if two_foods(self.talk, told):
            return
        if statements.spoils_zero(told):
            self._obey(Heard("gauge_zero", {"reading": "fell"}, text, t))
            return
        for part, meant in sorted(parts, key=lambda each: each[1].intent is None or each[1].intent in _ASIDES):
            self._take(Utterance((part,)), t, typed=True, of=statements.named_for(self.talk, text, meant, told))

    def _finish(self) -> Turn:
        self._ask_next()
        checks.ask_step(self.talk)
        return self.talk.flush()

    def _ask_next(self) -> None:
        """Ask the next waiting question: a doubt, a parked one, then the next stove check."""
        talk = self.talk
        if talk.asleep:
            talk.checks.clear()
            return
        frames.settle(talk)
        if not doubting.ask_open(talk) and not frames.resume(talk):
            checks.ask_due(talk)

    def _act(self, understood: Understanding, t: float, *, typed: bool, of: int | None = None) -> None:
        talk, intent = self.talk, understood.intent or ""
        question = self.open_question(t)
        addressed = understood.attention or typed or t <= talk.attention_until
        allowed = question is not None and (
            (intent in _ANSWERS and question.kind != "stands") or intent in KINDS[question.kind].intents(talk, question)
        )
        if not addressed and not allowed:
            talk.note("ignored", understood.text, reason="no_attention")
            return
        if talk.asleep and intent != "wake":
            talk.note("ignored", understood.text, reason="asleep")
            if intent in _REPORTS:
                talk.say("conversation", "not_taken_asleep", urgency=Urgency.CAUTION, attention=talk.profile.attention)
                note_asleep(talk, Heard(intent, understood.slots, understood.text, t))
            if intent in _AT_THE_LID:
                overheard.warn_of_the_lid(talk)
            return
        rival = None if understood.rival is None else understood.rival.slots
        heard = Heard(intent, understood.slots, understood.text, t, addressed, rival)
        talk.misses = 0
        unsure = None if falls(talk, heard) else understood.unsure
        if unsure is not None and ask_hedged(talk, question, intent):
            return
        if unsure is not None and has_to_be_sure(understood, talk.question) and begins(talk, heard):
            prompt = talk.language.say("conversation", "sure", said=written(unsure))
            frames.ask_yes_no(talk, "said", prompt, of_its_gauge(talk.question, heard), as_heard=unsure)
            return
        talk.attention_until = 0.0
        if intent != "why":
            talk.reason = ""
        if intent in _OF_A_LOAD and choosing.named_in(heard) is not None:
            self._of_named(heard)
        elif of is not None and intent in _OF_A_LOAD:
            self._of_load(heard, of)
        elif (command := self._unless_answer(heard, question)) is not None:
            self._obey(command)

    def _unless_answer(self, heard: Heard, question: Frame | None) -> Heard | None:
        """Take an answer to the open question; return a sentence that is none and has to be obeyed."""
        talk, intent, before = self.talk, heard.intent, self.talk.question
        if before is not None and question is None and before.kind == "check":
            if intent in _REPORTS or intent == "no":
                return heard  # a check of minutes ago takes no report that can be of another load
            if intent == "yes" and len(talk.kitchen.open_loads) > 1:
                frames.again(talk, before)
                return None
        if was_of_another(talk, heard := by_number(talk, before, heard)):
            return None
        if frames.take(talk, heard):
            if intent == "no" and "pressure" in heard.slots and before is not None:
                self._obey(replace(heard, intent="pressure_is", of=before.load))  # "no, it's at eleven"
            if before is not None and talk.question == before and intent not in ("yes", "no"):
                frames.wait_on(talk, before)
            return None
        asked = talk.question
        if asked is not None and intent == "not_yet" and ask_for_yes_or_no(talk, asked, heard.slots.get("about")):
            return None
        if asked is None or asked.kind == "stands" or intent not in _BARE:
            return heard
        if not (intent == "no" and doubt_check(talk, asked, heard.text)):
            wanted = "a_number" if asked.expects in _NUMBERS else "no_yes"
            first = talk.language.say("conversation", wanted) + " " if intent == "yes" and asked.kind == "form" else ""
            said = talk.language.say("steering", "say_checked") if asked.passive else first + frames.words(talk, asked)
            talk.speak(said, Urgency.READBACK)
        return None

    def _obey(self, heard: Heard) -> None:
        talk, handler = self.talk, HANDLERS.get(heard.intent)
        if handler is None or (heard.intent in _BARE and not heard.addressed):
            talk.note("ignored", heard.text, reason="no_handler" if handler is None else "no_question")
            return
        before = talk.question
        put_right(talk, heard, handler)
        self._after(before, heard.intent)

    def _handle(self, heard: Heard) -> None:
        """Handle a sentence that waited for an answer."""
        HANDLERS[heard.intent](self.talk, heard)

    def _of_named(self, heard: Heard) -> None:
        """Handle a sentence that names its load."""
        talk = self.talk
        loads = choosing.find_loads(talk, choosing.named_in(heard))
        told = replace(heard, slots={name: value for name, value in heard.slots.items() if name not in _NAMING})
        if not talk.kitchen.open_loads:
            talk.say("choosing", "no_loads")
        elif not loads:
            of_none(talk, heard, told)
        elif len(loads) > 1 and heard.intent in _TAKEN_UNNAMED:
            self._obey(replace(told, among=tuple(load.id for load in loads)))
        elif len(loads) > 1:
            choosing.ask_which(talk, loads, told)
        else:
            self._of_load(told, loads[0].id)

    def _of_load(self, heard: Heard, load_id: int) -> None:
        """Take a report of this load; jars packed after it go there too, for a while, and nothing else."""
        talk, heard = self.talk, of_its_jars(self.talk, replace(heard, of=load_id))
        asked = talk.question is not None and talk.question.load == load_id and talk.question.kind in ("check", "loss")
        if asked and frames.take(talk, heard):
            return
        talk.record("load_select", load_id, heard.text)
        talk.selected_t = talk.t if heard.intent == "packed" else float("-inf")
        self._obey(heard)

    def _after(self, before: Frame | None, intent: str) -> None:
        """Settle what becomes of a question that was open when something else was said."""
        talk = self.talk
        if intent != "cancel":
            checks.put_off(talk, before)
        if before is None or talk.question is not before or before.kind == "check":
            return
        denies = intent == "not_yet" and before.doubt is not None  # and settles nothing
        calm = before.kind == "stands" and intent in _CALM and not talk.told  # else a no is to what was told now
        if calm or (intent in _ASIDES and not denies):
            if before.kind == "which" and before.pressing and talk.letters:  # a name would be of what was said now
                frames.again(talk, before)
            return
        if before.doubt is None and not before.kept:
            talk.question = None
        elif before.pressing or not talk.letters:
            frames.again(talk, before)

    # ------------------------------------------------------------ time

    def tick(self, t: float) -> Turn:
        """Run the events that are due by `t`."""
        self._run_clock(t)
        return self._finish()

    def answered(self, key: str, t: float) -> Turn:
        """Take a call as answered by hand; one that isn't waiting any more changes nothing."""
        self._run_clock(t)
        if any(call.key == key for call in self.talk.kitchen.calls):
            steering.answer_calls(self.talk, (key,))
        return self._finish()

    def unsaid(self, key: str, t: float) -> Turn:
        """Call again what couldn't be said while its words were true, if it still waits."""
        self._run_clock(t)
        render.call_anew(self.talk, key)
        return self._finish()

    def next_t(self) -> float | None:
        """Return the time of the next `tick`, `None` if nothing is coming."""
        coming = self._next_due()
        return min([*([] if coming is None else [coming.t]), *frames.due(self.talk)], default=None)

    def _run_clock(self, t: float) -> None:
        talk = self.talk
        while True:
            coming = self._next_due()
            if coming is None or coming.t > t:
                break
            frames.run_out(talk, coming.t)
            talk.t = max(talk.t, coming.t)
            facts = talk.record(coming.kind, coming.load, "", coming.data)
            checks.note_checks(talk, facts)
            crocks.tell_checks(talk, facts)
        frames.run_out(talk, t)
        talk.t = max(talk.t, t)

    def _next_due(self) -> Due | None:
        """Return the next event of the clock; while nobody listens no question about the stove, and no crock."""
        asleep = self.talk.asleep
        return next((each for each in self.talk.coming if not (asleep and each.waits)), None)

    # ------------------------------------------------------------ start and recovery

    def begin(self, t: float, *, off_s: float | None = 0.0, typed: bool = False, by_clock: bool = False) -> Turn:
        """Start or recover: tell the state and the length of the gap, and ask about the time unwatched.

        `off_s` is `None` if nobody can tell how long it was away; `by_clock`: that is what the machine's clock makes of
        it, which somebody may have set meanwhile; `typed`: the cook types, and always means us.
        """
        talk = self.talk
        talk.t, talk.typed = max(talk.t, t), talk.typed or typed
        first = not talk.history and talk.last_seq == 0
        if off_s is None:
            gap_s = None
            talk.record("session_start", None, off_s=None, unknown=True)
        else:
            gap_s = off_s if off_s >= greeting.SHORT_GAP_S or by_clock else 0.0
            talk.record("session_start", None, off_s=round(gap_s, 1), short_gap_s=round(off_s - gap_s, 1))
        greeting.greet(talk, first=first, off_s=gap_s, typed=typed, by_clock=by_clock)
        ask_forgotten(talk, gap_s)
        if not talk.kitchen.open_loads:
            setup.offer(talk)
        if talk.question is None and not talk.kitchen.doubts:
            self._run_clock(t)
        return self._finish()
