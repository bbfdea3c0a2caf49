"""One turn after another: an utterance or a tick of the clock in, events and sentences out.

The rule of attention lives here: without the wake phrase, only an answer to an open question is acted on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from kitchenvoice.dialogue import (
    altitude,
    asking,
    checks,
    choosing,
    confirming,
    consulting,
    courtesies,
    denying,
    doubting,
    everyday,
    forms,
    frames,
    greeting,
    losses,
    missing,
    overheard,
    pantry,
    planning,
    render,
    reports,
    setup,
    sheets,
    starting,
    steering,
    stepping,
    timers,
    which,
)
from kitchenvoice.dialogue.context import Pantry, Talk
from kitchenvoice.dialogue.forgotten import ask_forgotten
from kitchenvoice.dialogue.forms import Form
from kitchenvoice.dialogue.frames import Frame, Kind, window_s
from kitchenvoice.dialogue.knowing import answer_question, is_question, without_name
from kitchenvoice.dialogue.missing import answer_nearest, three_to_say
from kitchenvoice.dialogue.noting import typed_note
from kitchenvoice.dialogue.rewording import has_to_be_sure, reworded
from kitchenvoice.dialogue.turn import Heard, Turn
from kitchenvoice.dialogue.understand import Understanding, understand
from kitchenvoice.grammar import STAGES, Grammar, GrammarBook, Scope, normalise, written
from kitchenvoice.grammar.typos import mistyped
from kitchenvoice.kitchen.profile import Profile
from kitchenvoice.ports import Urgency, Utterance
from kitchenvoice.process import Due, Event, due
from kitchenvoice.reference.nearness import asks

__all__ = ["Conversation"]

HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {
        **steering.HANDLERS,
        **setup.HANDLERS,
        **timers.HANDLERS,
        **asking.HANDLERS,
        **reports.HANDLERS,
        **stepping.HANDLERS,
        **courtesies.HANDLERS,
        **everyday.HANDLERS,
        **missing.HANDLERS,
        "have": planning.plan_by_voice,
        "ask_yield": planning.plan_by_voice,
        "ask_sheet": sheets.read_sheet,
    }
)
"""What is done with each intent."""

KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "yes_no": confirming.YES_NO,
        "which": which.WHICH,
        "form": forms.FORM,
        "check": checks.CHECK,
        "loss": losses.LOSS,
        "step": checks.STEP,
        "stands": denying.STANDS,
    }
)
"""What each kind of question does."""

FORMS: Mapping[str, Form] = MappingProxyType(
    {
        "load_start": starting.START,
        "consult": consulting.CONSULT,
        "plan": planning.PLAN,
        "sheet": sheets.SHEET,
        "opened": pantry.OPENED,
        "timer_stop": timers.WHICH_TIMER,
        "jars_in": reports.JARS_IN,
        "without_acid": reports.WITHOUT_ACID,
        "altitude": altitude.ALTITUDE,
        "setup": setup.SETUP,
    }
)
"""All that is asked for piece by piece."""

_OF_A_LOAD = frozenset({*reports.HANDLERS, *everyday.OF_A_LOAD, "step_done", "lid_box", "used"})
_NAMING = frozenset({"load", "food", "food_group", "canner"})
_ANSWERS = frozenset({"yes", "no", "number", "choice", "repeat", "help", "cancel"})
_BARE = frozenset({"yes", "no", "number", "choice"})
_AT_THE_LID = frozenset({"ask_open", "lid_off", "jar_broke"})
"""What is warned of even while nobody listens."""
_READ_BACK = frozenset({"altitude", "attention"})
"""Slots whose answer counts only after a yes, so that one that isn't sure is read back as well."""
_YES_OR_NO = frozenset({"yes_no", "load_ok"})
_NUMBERS = frozenset({"altitude", "count", "setup_altitude", "setup_canners", "setup_jars"})
"""Questions whose answer is a number."""
_MOST_MISSES = 2
_LONGEST_ANSWER = 5
_ASIDES = frozenset(name for name in HANDLERS if name.startswith("ask_")) | {
    "repeat",
    "help",
    "why",
    "where_are_we",
    "missed",
    "not_yet",
    "louder",
    "softer",
    "answer_call",
    "quiet",
    "slower",
    "faster",
    "brief",
    "full",
    "attention",
    "note",
    "take_note",
}


class Conversation:
    """The dialogue of one kitchen. Give it what was heard and what time it is; it gives turns.

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
        self.talk = Talk(profile, history, last_seq=last_seq, last_load=last_load, pantry=pantry)
        self.talk.kinds, self.talk.forms, self.talk.obey = KINDS, FORMS, self._handle
        self._book = book

    def use(self, book: GrammarBook) -> None:
        """Listen by another book from now on: the canners are called otherwise."""
        self._book = book

    # ------------------------------------------------------------ listening

    def open_question(self, t: float) -> Frame | None:
        """Return the question that may be answered without the wake phrase at `t`."""
        question = self.talk.question
        return question if question is not None and t <= question.window_t else None

    def grammar(self, t: float, *, typed: bool = False) -> Grammar:
        """Return what can be said at `t`."""
        return self._book.grammar(**self.listening_scope(t, typed=typed))

    def listening_scope(self, t: float, *, typed: bool = False) -> Scope:
        """Return what is listened for at `t`, as plain data; `typed` words are always meant for us."""
        question = self.open_question(t) or (self.talk.question if typed else None)
        called = t <= self.talk.attention_until
        return {
            "stages": tuple(stage.value for stage in self.talk.stages),
            "attention": "optional" if typed or called else "answers" if question is not None else "required",
            "wake_phrase": self.talk.profile.attention,
            "question": self.talk.question.expects if self.talk.question is not None else None,
            "loads": {load.number: load.food for load in self.talk.kitchen.open_loads},
            "typed": typed,
        }

    def hear(self, utterance: Utterance, t: float, *, typed: bool = False) -> Turn:
        """Take one utterance; `typed` words are always meant for us."""
        self._run_clock(t)
        self.talk.sound = (None, None) if typed else (utterance.level_dbfs, utterance.trouble)
        scope = self.listening_scope(t, typed=typed)
        grammar = self._book.grammar(**scope)
        noted = typed_note(" ".join(utterance.alternatives[:1]), self.talk.language) if typed else None
        understood = noted or understand(utterance, grammar)
        evening = self.talk.question is not None and self.talk.question.about == "setup"
        if typed and noted is None and not evening:
            understood = reworded(understood, grammar, self._known)
        reason = understood.reject_reason
        self.talk.note(
            "heard",
            understood.text,
            intent=understood.intent,
            slots=understood.slots,
            reject_reason=reason,
            scope=scope,
        )
        if understood.intent is None:
            self._no_match(utterance, understood, t, typed=typed)
        else:
            self._act(understood, t, typed=typed)
        return self._finish()

    def _known(self, text: str) -> bool:
        """Tell whether a typed sentence is a question of the knowledge base as it is."""
        return is_question(self.talk, text)

    def _finish(self) -> Turn:
        self._ask_next()
        checks.ask_step(self.talk)
        return self.talk.flush()

    def _ask_next(self) -> None:
        """Ask what waits: what is in doubt, what was put aside, then the next one about the stove."""
        talk = self.talk
        if talk.asleep:
            talk.checks.clear()
            return
        frames.settle(talk)
        if not doubting.ask_open(talk) and not frames.resume(talk):
            checks.ask_due(talk)

    def _intents(self, question: Frame) -> frozenset[str]:
        return KINDS[question.kind].intents(self.talk, question)

    def _act(self, understood: Understanding, t: float, *, typed: bool) -> None:
        talk, intent = self.talk, understood.intent or ""
        question = self.open_question(t)
        addressed = understood.attention or typed or t <= talk.attention_until
        allowed = question is not None and (
            (intent in _ANSWERS and question.kind != "stands") or intent in self._intents(question)
        )
        if not addressed and not allowed:
            talk.note("ignored", understood.text, reason="no_attention")
            return
        if talk.asleep and intent != "wake":
            talk.note("ignored", understood.text, reason="asleep")
            if intent in reports.HANDLERS:
                talk.say("talk", "not_taken_asleep", urgency=Urgency.CAUTION, attention=talk.profile.attention)
                doubting.note_asleep(talk, Heard(intent, understood.slots, understood.text, t))
            if intent in _AT_THE_LID:
                overheard.warn_of_the_lid(talk)
            return
        rival = None if understood.rival is None else understood.rival.slots
        heard = Heard(intent, understood.slots, understood.text, t, addressed, rival)
        talk.misses = 0
        if understood.unsure is not None and has_to_be_sure(understood) and not self._falls(heard):
            if any(load.holding for load in talk.kitchen.open_loads) and intent not in ("pressure_is", "number"):
                doubting.not_understood(talk, understood.text)
            prompt = talk.language.say("everyday", "sure", said=written(understood.unsure))
            talk.ask_yes_no("said", prompt, heard, as_heard=understood.unsure)
            return
        talk.attention_until = 0.0
        if intent != "why":
            talk.reason = ""
        if intent in _OF_A_LOAD and choosing.named_in(heard) is not None:
            self._of_named(heard)
            return
        before = talk.question
        late = question is None and before is not None and before.kind == "check"
        if late and (intent in reports.HANDLERS or intent == "no"):
            self._obey(heard)  # a check of minutes ago takes no report that can be of another load
            return
        if late and before is not None and intent == "yes":
            frames.again(talk, before)
            return
        if frames.take(talk, heard):
            if before is not None and talk.question == before and intent not in ("yes", "no"):
                talk.question = replace(before, window_t=max(before.window_t, talk.t + window_s(before.prompt)))
            return
        if intent == "not_yet" and talk.question is not None and self._ask_for_yes_or_no(talk.question):
            return
        if talk.question is not None and talk.question.kind != "stands" and intent in _BARE:
            if intent == "no" and self._doubt_check(talk.question, heard.text):
                return
            passive, asked = talk.question.passive, frames.words(talk, talk.question)
            if intent == "yes" and talk.question.kind == "form":
                wanted = "a_number" if talk.question.expects in _NUMBERS else "no_yes"
                asked = f"{talk.language.say('talk', wanted)} {asked}"
            talk.speak(talk.language.say("talk", "say_checked") if passive else asked, Urgency.READBACK)
            return
        self._obey(heard)

    def _doubt_check(self, question: Frame, text: str) -> bool:
        """Take what is no clear answer to a question about the stove for a doubt, which is asked about."""
        load = self.talk.kitchen.load(question.load)
        if question.kind != "check" or load is None:
            return False
        self.talk.say("talk", "no_answer")
        doubting.not_understood(self.talk, text, [load])
        return True

    def _falls(self, heard: Heard) -> bool:
        """Tell whether it is a pressure below the target of a hold: that counts whoever is sure of it."""
        psi = heard.slots.get("pressure", heard.slots.get("value"))
        targets = [load.process.target_psi or 0 for load in self.talk.kitchen.open_loads if load.holding]
        return isinstance(psi, int | float) and any(psi < target for target in targets)

    def _ask_for_yes_or_no(self, question: Frame) -> bool:
        """Ask again where what isn't so may be a yes or a no ("the pressure didn't drop"); tell whether it may."""
        if question.expects not in _YES_OR_NO or question.passive:
            return False
        self.talk.say("talk", "yes_or_no", prompt=frames.words(self.talk, question))
        self._wait_on(question)
        return True

    def _wait_on(self, question: Frame) -> None:
        window_t = max(question.window_t, self.talk.t + window_s(question.prompt))
        self.talk.question = replace(question, window_t=window_t)

    def _obey(self, heard: Heard) -> None:
        talk, handler = self.talk, HANDLERS.get(heard.intent)
        if handler is None or (heard.intent in _BARE and not heard.addressed):
            talk.note("ignored", heard.text, reason="no_handler" if handler is None else "no_question")
            return
        before = talk.question
        handler(talk, heard)
        self._after(before, heard.intent)

    def _handle(self, heard: Heard) -> None:
        """Do what a sentence says that waited for an answer."""
        HANDLERS[heard.intent](self.talk, heard)

    def _of_named(self, heard: Heard) -> None:
        """Take what she says of a load and names it in the same sentence."""
        talk = self.talk
        loads = choosing.find_loads(talk, choosing.named_in(heard))
        told = replace(heard, slots={name: value for name, value in heard.slots.items() if name not in _NAMING})
        if not talk.kitchen.open_loads:
            talk.say("talk", "no_loads")
        elif not loads:
            talk.say("talk", "no_such_load", loads=choosing.load_list(talk, talk.kitchen.open_loads, "and"))
        elif len(loads) > 1:
            choosing.ask_which(talk, loads, told)
        else:
            self._of_load(told, loads[0].id)

    def _of_load(self, heard: Heard, load_id: int) -> None:
        """Take a report of this load; jars packed after it go there too, for a while, and nothing else."""
        talk, heard = self.talk, replace(heard, of=load_id)
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
        if before is None or talk.question is not before or before.kind == "check" or intent in _ASIDES:
            return
        if before.doubt is not None or before.kept:
            if before.pressing:
                frames.again(talk, before)
        else:
            talk.question = None

    def _no_match(self, utterance: Utterance, understood: Understanding, t: float, *, typed: bool) -> None:
        """Answer with tapered prompts: a short one, then what can be said, then silence until called."""
        talk = self.talk
        question = self.open_question(t)
        called = understood.attention or typed or t <= talk.attention_until
        asked = question is not None and not question.passive and len(understood.text.split()) <= _LONGEST_ANSWER
        unasked = understood.reject_reason == "silence" or (understood.reject_reason == "no_attention" and not called)
        if talk.asleep and called:
            self._note_asleep(utterance)
        if talk.asleep or unasked or not (called or asked):
            talk.note("ignored", understood.text, reason=understood.reject_reason or "")
            return
        if question is not None and question.kind == "form" and FORMS[question.about].missed(talk, question):
            return
        if (
            question is not None
            and question.values.get("slot") in _READ_BACK
            and self._read_back_unsure(understood, t, typed=typed)
        ):
            return
        if understood.reject_reason == "too_soft" or utterance.trouble == "too_loud":
            talk.say("talk", utterance.trouble or "too_soft")
            return
        if called and understood.reject_reason == "unsure" and self._ask_back(understood, t, typed=typed):
            return
        if called and understood.reject_reason != "unsure" and self._elsewhere(utterance, typed=typed):
            return
        live = self.grammar(t, typed=typed)
        if called and answer_question(talk, understood.text, live):
            return
        form = question is not None and question.kind == "form" and question.expects not in _YES_OR_NO
        answer = question is not None and not question.passive and not asks(without_name(talk, understood.text))
        if typed and not form and not answer and answer_nearest(talk, understood.text, live):
            talk.misses = 0
            return
        talk.misses += 1
        if question is not None and overheard.has_word(talk, "hedge", understood.text):
            talk.misses = 0
            if self._doubt_check(question, understood.text):
                return
        doubts = talk.kitchen.doubts
        if question is not None and question.kind == "loss" and overheard.has_word(talk, "loss", understood.text):
            doubting.put_in_question(talk, understood.text, talk.kitchen.in_doubt(question.doubt or 0))
        if called and overheard.catch(talk, understood.text, often=talk.misses >= _MOST_MISSES):
            return
        strange = self._strange_word(understood.text, t, answer=form) if typed else None
        if strange is not None:
            talk.say("talk", "mistyped", word=strange[0], known=strange[1])
        elif question is not None and form and talk.misses != _MOST_MISSES and (called or talk.misses <= 1):
            talk.say("talk", "again_asked", prompt=frames.words(talk, question))
        elif talk.misses <= 1 and talk.kitchen.doubts != doubts:
            talk.say("talk", "not_sure")
        elif talk.misses <= 1 and (not typed or (question is not None and not question.passive)):
            talk.say("talk", "again")
        elif talk.misses == _MOST_MISSES:
            talk.say("talk", "no_match_help", help=steering.help_text(talk))
        elif talk.misses <= 1:
            said = talk.language.say("talk", "help", phrases=three_to_say(talk, understood.text))
            talk.say("talk", "no_match_help", help=said)
        elif called:
            talk.say("talk", "cant_answer", attention=talk.profile.attention)
        else:
            talk.note("ignored", understood.text, reason="missed_often")
        if question is not None and talk.misses <= _MOST_MISSES and talk.question == question:
            self._wait_on(question)

    def _strange_word(self, text: str, t: float, *, answer: bool) -> tuple[str, str] | None:
        return mistyped(text, self.grammar(t, typed=not answer), self._book.words, answer=answer)

    def _read_back_unsure(self, understood: Understanding, t: float, *, typed: bool) -> bool:
        """Take an unsure answer where it is read back and wants a yes anyway; tell whether it was one."""
        if understood.reject_reason != "unsure":
            return False
        readings = self.grammar(t, typed=typed).parse(understood.text)
        reading = next((each for each in readings if each.intent in ("number", "choice", "set_altitude")), None)
        if reading is None:
            return False
        self.talk.misses = 0
        return frames.take(self.talk, Heard(reading.intent, reading.slots, understood.text, t, understood.attention))

    def _ask_back(self, understood: Understanding, t: float, *, typed: bool) -> bool:
        """Ask whether she said what was heard best, where something else is nearly as likely; a yes makes it count."""
        talk = self.talk
        readings = self.grammar(t, typed=typed).parse(understood.text)
        reading = next((each for each in readings if each.intent not in (*_BARE, "attention")), None)
        if reading is None or (talk.question is not None and talk.question.pressing):
            return False
        heard = Heard(reading.intent, reading.slots, understood.text, t, True, None)
        rival = {} if understood.rival is None else understood.rival.slots
        said = understood.text.removeprefix(normalise(talk.profile.attention)).strip()
        told = written(said + reports.told_apart(talk, reading.slots, rival))
        prompt = talk.language.say("talk", "did_you_say", said=told)
        talk.ask_yes_no("said", prompt, heard, as_heard=said)
        return True

    def _anywhere(self, *, typed: bool = False) -> Grammar:
        return self._book.grammar(
            STAGES,
            attention="optional",
            wake_phrase=self.talk.profile.attention,
            loads={load.number: load.food for load in self.talk.kitchen.open_loads},
            typed=typed,
        )

    def _note_asleep(self, utterance: Utterance) -> None:
        """Write down what may be a loss, though nobody listens."""
        text = " ".join(utterance.alternatives[:1])
        readings = self._anywhere().parse(text)
        for reading in readings[:1]:
            doubting.note_asleep(self.talk, Heard(reading.intent, reading.slots, text, self.talk.t))
        if not readings and overheard.has_word(self.talk, "loss", text):
            self.talk.say("talk", "not_taken_asleep", urgency=Urgency.CAUTION, attention=self.talk.profile.attention)
            doubting.put_in_question(self.talk, text)

    def _elsewhere(self, utterance: Utterance, *, typed: bool) -> bool:
        """Say where she is if the sentence is a whole one of another stage."""
        talk, anywhere = self.talk, self._anywhere(typed=typed)
        for text in utterance.alternatives[:1]:
            if not talk.kitchen.open_loads and is_question(talk, text):
                return False  # without a load it can only be a question
            readings = anywhere.parse(text)
            if not readings and typed and not is_question(talk, text):
                worded = (anywhere.parse(each.text) for each in anywhere.other_words(text))
                readings = next((each for each in worded if each), ())
            if readings and readings[0].intent != "attention":
                talk.misses = 0
                said = choosing.named_in(Heard(readings[0].intent, readings[0].slots, text, talk.t))
                named = () if said is None else choosing.find_loads(talk, said)
                if readings[0].intent == "gauge_zero" or not overheard.deny_zeros(talk, text):
                    reports.refuse_stage(talk, readings[0].intent, text, named, readings[0].slots)
                return True
        return False

    # ------------------------------------------------------------ time

    def tick(self, t: float) -> Turn:
        """Let the clock bring what is due by `t`."""
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
        """Return when `tick` has to be called next, `None` if nothing is coming."""
        coming = self._next_due()
        times = [] if coming is None else [coming.t]
        question = self.talk.question
        if question is not None:
            times.append(question.window_t if question.prompted < 2 else question.stale_t)
        return min(times, default=None)

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
        frames.run_out(talk, t)
        talk.t = max(talk.t, t)

    def _next_due(self) -> Due | None:
        """Return what the clock brings next; no question about the stove while none is wanted."""
        asleep = self.talk.asleep
        coming = (each for each in due(self.talk.kitchen) if not (asleep and each.data.get("timer") == "check"))
        return next(coming, None)

    # ------------------------------------------------------------ start and recovery

    def begin(self, t: float, *, off_s: float | None = 0.0, typed: bool = False, by_clock: bool = False) -> Turn:
        """Start or recover: say what is known, how long it was away, and ask what it can't know.

        `off_s` is `None` if nobody can tell how long it was away; `by_clock`: that is what the machine's clock makes of
        it, which somebody may have set meanwhile; `typed`: she types, and always means us.
        """
        talk = self.talk
        talk.t = max(talk.t, t)
        talk.typed = talk.typed or typed
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
