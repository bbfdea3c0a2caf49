"""One turn after another: an utterance or a tick of the clock in, events and sentences out.

The rule of attention lives here: without the attention phrase, only an answer to an open question is acted on.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType

from kitchenvoice.dialogue import asking, reports, steering, telling, words
from kitchenvoice.dialogue.choosing import load_list
from kitchenvoice.dialogue.grammar import Grammar, GrammarBook
from kitchenvoice.dialogue.planning import plan_by_voice
from kitchenvoice.dialogue.talk import Pantry, Talk
from kitchenvoice.dialogue.turn import Heard, Question, Turn
from kitchenvoice.dialogue.understand import Understanding, understand
from kitchenvoice.ports import Urgency, Utterance
from kitchenvoice.process import Event, Fact, Load, next_due
from kitchenvoice.profile import Profile

__all__ = ["Conversation"]

_HANDLERS: Mapping[str, Callable[[Talk, Heard], None]] = MappingProxyType(
    {**steering.HANDLERS, **asking.HANDLERS, **reports.HANDLERS, "have": plan_by_voice, "ask_yield": plan_by_voice}
)
_ANSWERS = frozenset({"yes", "no", "number", "choice", "repeat", "help", "cancel"})
_MOST_MISSES = 2
_GAUGE = frozenset({"pressure_is", "pressure_low", "number"})
_ASIDES = frozenset(name for name in _HANDLERS if name.startswith("ask_")) | {
    "repeat",
    "help",
    "why",
    "where_are_we",
    "missed",
    "louder",
    "softer",
    "answer_call",
    "quiet",
    "slower",
    "faster",
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
        self._book = book

    # ------------------------------------------------------------ listening

    def open_question(self, t: float) -> Question | None:
        """Return the question that may be answered without the attention phrase at `t`."""
        question = self.talk.question
        return question if question is not None and t <= question.window_t else None

    def grammar(self, t: float, *, typed: bool = False) -> Grammar:
        """Return what can be said at `t`."""
        question = self.open_question(t) or (self.talk.question if typed else None)
        called = t <= self.talk.attention_until
        return self._book.grammar(
            tuple(stage.value for stage in self.talk.stages),
            attention="optional" if typed or called else "answers" if question is not None else "required",
            attention_phrase=self.talk.profile.attention,
            question=self.talk.question.expects if self.talk.question is not None else None,
            loads={load.number: load.food for load in self.talk.kitchen.open_loads},
        )

    def hear(self, utterance: Utterance, t: float, *, typed: bool = False) -> Turn:
        """Take one utterance; `typed` words are always meant for us."""
        self._run_clock(t)
        understood = understand(utterance, self.grammar(t, typed=typed))
        self.talk.note("heard", understood.text, intent=understood.intent, reject=understood.reject_reason)
        if understood.intent is None:
            self._no_match(understood, t, typed=typed)
        else:
            self._act(understood, t, typed=typed)
        return self.talk.flush()

    def _act(self, understood: Understanding, t: float, *, typed: bool) -> None:
        talk, intent = self.talk, understood.intent or ""
        question = self.open_question(t)
        addressed = understood.attention or typed or t <= talk.attention_until
        allowed = question is not None and (intent in _ANSWERS or intent in question.intents)
        if not addressed and not allowed:
            talk.note("ignored", understood.text, reason="no_attention")
            return
        if talk.asleep and intent != "wake":
            talk.note("ignored", understood.text, reason="asleep")
            return
        heard = Heard(intent, understood.slots, understood.text, t, addressed, understood.rival is not None)
        talk.misses = 0
        talk.attention_until = 0.0
        if talk.question is not None and talk.question.answer(heard):
            return
        if talk.question is not None and intent in ("yes", "no", "number", "choice"):
            talk.speak(talk.question.prompt, Urgency.READBACK)
            return
        handler = _HANDLERS.get(intent)
        if handler is None:
            talk.note("ignored", understood.text, reason="no_handler")
            return
        before = talk.question
        handler(talk, heard)
        if before is not None and talk.question is before and intent not in _ASIDES:
            talk.question = None

    def _no_match(self, understood: Understanding, t: float, *, typed: bool) -> None:
        """Answer with tapered prompts: a short one, then what can be said, then silence until called."""
        talk = self.talk
        question = self.open_question(t)
        called = understood.attention or typed or question is not None or t <= talk.attention_until
        if talk.asleep or not called or understood.reject_reason in ("silence", "no_attention"):
            talk.note("ignored", understood.text, reason=understood.reject_reason or "")
            return
        if understood.reject_reason == "too_soft":
            talk.say("talk", "too_soft")
            return
        talk.misses += 1
        if talk.misses == 1:
            talk.say("talk", "again")
        elif talk.misses <= _MOST_MISSES:
            talk.say("talk", "no_match_help", help=steering.help_text(talk))
            if question is not None:
                talk.speak(question.prompt)
        if question is not None and talk.misses <= _MOST_MISSES:
            question.window_t = max(question.window_t, t + 20.0)

    # ------------------------------------------------------------ time

    def tick(self, t: float) -> Turn:
        """Let the clock bring what is due by `t`."""
        self._run_clock(t)
        return self.talk.flush()

    def next_t(self) -> float | None:
        """Return when `tick` has to be called next, `None` if nothing is coming."""
        coming = next_due(self.talk.kitchen)
        times = [] if coming is None else [coming.t]
        question = self.talk.question
        if question is not None:
            times.append(question.window_t if question.prompted < 2 else question.stale_t)
        return min(times, default=None)

    def _run_clock(self, t: float) -> None:
        talk = self.talk
        while True:
            coming = next_due(talk.kitchen)
            if coming is None or coming.t > t:
                break
            self._lapse(coming.t)
            talk.t = max(talk.t, coming.t)
            facts = talk.record(coming.kind, coming.load, "", coming.data)
            self._ask_checks(facts)
        self._lapse(t)
        talk.t = max(talk.t, t)

    def _lapse(self, t: float) -> None:
        """Repeat an unanswered question once, then wait to be called; a question too old is dropped."""
        talk, question = self.talk, self.talk.question
        if question is None:
            return
        if question.prompted == 0 and t > question.window_t:
            talk.t = max(talk.t, question.window_t)
            question.prompted = 1
            talk.speak(question.prompt, Urgency.GUIDANCE)
            question.window_t = talk.t + 20.0 + len(question.prompt) / 13.0
        if question.prompted == 1 and t > question.window_t:
            talk.t = max(talk.t, question.window_t)
            question.prompted = 2
            if question.lapse is not None:
                talk.question = None
                question.lapse(talk.t)
        if question.prompted == 2 and t > question.stale_t and talk.question is question:
            talk.question = None

    # ------------------------------------------------------------ questions of our own

    def _ask_checks(self, facts: Sequence[Fact]) -> None:
        for fact in facts:
            load = self.talk.kitchen.load(fact.load)
            if fact.kind == "check_due" and load is not None and self.talk.question is None:
                self._ask_check(load)

    def _ask_check(self, load: Load) -> None:
        talk = self.talk
        kind = load.process.gauge if load.process.is_pressure else "bath"
        values = telling.values_of(talk, {}, load)
        prompt = talk.texts.say("facts", f"check_{kind}", values)
        if kind == "dial":
            talk.ask(
                Question("pressure", prompt, lambda heard: self._gauge_read(load.id, heard), _GAUGE, lambda _: None)
            )
            return
        good, bad = ("weight_rocking", "weight_quiet") if kind == "weighted" else ("boiling", "boil_lost")

        def report(name: str) -> Callable[[], None]:
            return lambda: reports.take_for_id(talk, load.id, name, {})

        talk.ask_yes_no(
            prompt,
            report(good),
            report(bad),
            lambda _: None,
            frozenset({good, bad}),
            "weight_check" if kind == "weighted" else "boil_check",
        )

    def _gauge_read(self, load_id: int, heard: Heard) -> bool:
        if heard.intent == "number" and heard.slots.get("value") is not None:
            self.talk.question = None
            reports.take_for_id(self.talk, load_id, "pressure_is", {"pressure": heard.slots["value"]}, heard.text)
            return True
        return False

    # ------------------------------------------------------------ start and recovery

    def begin(self, t: float, *, off_s: float = 0.0) -> Turn:
        """Start or recover: say what is known, how long it was away, and ask what it can't know."""
        talk = self.talk
        talk.t = max(talk.t, t)
        loads = talk.kitchen.open_loads
        attention = talk.profile.attention
        talk.say("talk", "hello", urgency=Urgency.GUIDANCE, attention=attention)
        if loads:
            talk.say("talk", "hello_open", loads=load_list(talk, loads, "and"))
        if loads and off_s > 0:
            talk.say("talk", "gap", off=words.duration(off_s))
        talk.record("session_start", None, off_s=round(off_s, 1))
        self._ask_next_doubt()
        if talk.question is None:
            self._run_clock(t)
        return talk.flush()

    def _ask_next_doubt(self) -> None:
        talk = self.talk
        load = next((load for load in talk.kitchen.open_loads if load.doubt), None)
        if load is None:
            return
        kind = (
            "vent"
            if not load.holding
            else {"dial": "pressure", "weighted": "weight"}.get(load.process.gauge or "", "boil")
        )
        prompt = talk.texts.say("talk", f"gap_{kind}", telling.values_of(talk, {}, load))

        def answered(*, ok: bool) -> None:
            talk.record("was_steady", load.id, ok=ok)
            self._ask_next_doubt()

        talk.ask_yes_no(
            prompt, lambda: answered(ok=True), lambda: answered(ok=False), lapse=lambda _: answered(ok=False)
        )
