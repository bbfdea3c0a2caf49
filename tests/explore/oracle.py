"""What may be said of each load, worked out beside the dialogue: from what was said and asked, and from the clock.

It shares no code with the dialogue or the engine. Of what is recorded it reads kinds and loads only, to know which load
the program took a report for. `Fault` names what was said that may not be said, or left out that had to be.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from beliefs import (
    DAY_S,
    GAP_S,
    LONG_CUT_S,
    REST_S,
    UNDER,
    VENT_S,
    WITHOUT_PRESSURE,
    Asked,
    Belief,
    Fault,
    Taken,
    hazard,
)
from listening import Listening
from sentences import NOT_UNDERSTOOD, OTHER_NUMBERS, TURN_OFF, WARNING, claims_in, question_in, sentences_of

__all__ = ["Oracle", "Recorded"]

_HOLDS = frozenset({"weight_rocking", "pressure_is"})
_MOVES = _HOLDS | {
    "jars_in",
    "heat_on",
    "weight_on",
    "steam_steady",
    "lid_off",
    "jars_out",
    "seal_count",
    "vent_stopped",
}
_NOT_OF_THE_COOK = frozenset(
    {"timer_due", "call_again", "session_start", "answer_call", "load_select", "scratched", "hold_done", "hold_lost"}
    | {"hold_started", "hold_restarted", "vent_started", "vent_stopped", "vent_done"}
)


class Recorded(Protocol):
    """A recorded event, as far as it is read here."""

    @property
    def kind(self) -> str: ...
    @property
    def load(self) -> int | None: ...


@dataclass(slots=True)
class Oracle(Listening):
    """One kitchen: tell it what the cook says (`hear`) and what the program answers (`reply`)."""

    def copy(self) -> Oracle:
        """Return another one that believes the same."""
        return replace(self, beliefs=dict(self.beliefs), before=dict(self.before))

    def cut(self, t: float, off_s: float) -> None:
        """The program was away for so long, and has forgotten all that it didn't write down."""
        self._begin(t, None)
        self.asked, self.focus, self.misses, self.asleep, self.well = None, None, 0, False, None
        self.doubts = tuple(
            each if "cut" in each.marks else replace(each, marks=(*each.marks, "cut")) for each in self.doubts
        )
        for load in self.loads if off_s >= GAP_S else ():
            if self.beliefs[load.id].at in ("hold", "vent"):
                self._new("gap", frozenset({load.id}), "power was off", ("long",) if off_s >= LONG_CUT_S else ())

    def reply(self, t: float, said: Sequence[tuple[str, int | None]], recorded: Sequence[Recorded]) -> list[Fault]:
        """Take what the program said and recorded; return what it may not have said."""
        if self.said is None:
            self._begin(t, None)
        self.t, self.claimed = t, frozenset()
        text = " ".join(each for each, _ in said).lower()
        faults = [fault for each in recorded for fault in self._recorded(each)]
        self._taken_back(text, recorded)
        self.invites = self.invites and not text
        place = next((each.load for each in recorded if each.load in self.beliefs), None)
        for part, load in said:
            faults += self._said(part, load if load in self.beliefs else place)
        full = [x for x, b in self.beliefs.items() if b.corrected and x in self.claimed]
        if full and not OTHER_NUMBERS.search(text):
            faults.append(Fault("a correction", "a correction isn't told", full[0], "", grave=False))
        faults += self._left_out(text)
        self._understood(text)
        self.said = None
        return faults

    def _recorded(self, event: Recorded) -> list[Fault]:
        kind, load, faults = event.kind, event.load, []
        if load not in self.beliefs:
            return []
        b = self.beliefs[load]
        if kind == "hold_done":
            faults = (
                [] if b.spoilt else self._full(load, "called done in full")
            )  # by other numbers its time runs out too
            self.claimed |= {load}
            self._believe(load, done_t=self.t)
        elif kind == "vent_done":
            faults = self._vented(load)
        elif kind in ("hold_started", "hold_restarted"):
            faults = self._start(load)
            self._start_anew(load)
            self._believe(load, started=self.t, lost_t=None, done_t=None)
            self.blamed -= {load}
        elif kind == "hold_lost":
            self._lose(load)
        elif kind == "scratched":
            self._pop(load)
        elif kind == "load_given_up" and b.at in UNDER:
            self._believe(load, started=None, done_t=b.done_t or self.t, spoilt=True)
            self._close(load)
        elif kind == "vent_started":
            amiss = Fault(
                "faults", "a vent starts, and nobody said that what was wrong is put right", load, self._cause()
            )
            faults = [amiss] if b.broken else []
            self._vents_anew(load)
        elif kind == "heat_off" and b.at == "done":
            self._believe(load, off_t=self.t)
            self._close(load, "heat")
        elif kind == "heat_off":
            self._believe(load, cold=True)
            self._close(load, "heat")
        elif kind in _MOVES:
            self._moved(kind, load)
        if kind not in _NOT_OF_THE_COOK:
            was = self.before.get(load, b)
            others = tuple((x, belief) for x, belief in self.before.items() if x != load)
            self.taken = (*self.taken[-5:], Taken(self.t, kind, load, was, self.doubts_before, self.sure, others))
        return faults

    def _start_anew(self, load: int) -> None:
        """What the hold before lost tells nothing of this one; heat that may be off does, unless it was taken back."""
        for each in self.doubts:
            if load in each.open and (each.family != "heat" or "taken back" in each.marks):
                self._put(replace(each, open=each.open - {load}, aside=frozenset()))

    def _vents_anew(self, load: int) -> None:
        """What was lost before tells nothing of this vent and of the hold after it; heat that may be off does, and what
        no gauge shows."""
        self._believe(load, steam_t=self.t, vented=False, up_t=None, lost_t=None, cold=False)
        for each in self.doubts:
            if load in each.open and each.family not in ("heat", "fault"):
                self._put(replace(each, open=each.open - {load}, aside=frozenset()))

    def _moved(self, kind: str, load: int) -> None:
        b, bath = self.beliefs[load], self._called(load).gauge in WITHOUT_PRESSURE
        if kind == "jars_in":
            self._believe(load, in_t=self.t)
        elif kind == "heat_on" and bath and b.at == "in":
            self._believe(load, up_t=self.t)
        elif kind == "heat_on" and b.at == "cool":
            self._believe(load, off_t=None, zero_t=None, zeros=0)
            self._is_late(load)
        elif kind == "heat_on":
            self._believe(load, cold=False)
            self._is_put_right((load,))
        elif kind == "steam_steady" and b.steam_t is None:
            self._believe(load, steam_t=self.t, cold=False)
        elif kind == "vent_stopped":
            self._believe(load, steam_t=None, vented=False)
            self._close(load)
        elif b.at == "vent" and (kind == "weight_on" or (kind in _HOLDS and self._has_vented(b))):
            self._believe(load, up_t=self.t, vented=True, air=False)
        elif kind == "lid_off":
            self._believe(load, bare=b.at == "cool" and b.zero_t is not None)
        elif kind == "jars_out":
            self._believe(load, out_t=self.t)
        elif kind == "seal_count":
            self._believe(load, counted_t=self.t)

    def _has_vented(self, b: Belief) -> bool:
        return b.steam_t is not None and self.t - b.steam_t >= VENT_S - 1.0

    def _pop(self, load: int) -> None:
        """The last report was taken back: believe what was believed before it. A loss that is taken back is a doubt,
        unless it is corrected within the breath and the hold has time left."""
        entry = next((each for each in reversed(self.taken) if each.load == load), None)
        if entry is None:
            return
        self.taken = tuple(each for each in self.taken if each is not entry)
        now, was = self.beliefs[entry.load], entry.before
        revives = was.at in ("hold", "done") and now.at not in ("hold", "done", "cool")
        well = now.at == "hold" and entry.kind in ("pressure_is", "weight_rocking", "boiling")
        if entry.kind == "boiling":
            was = replace(was, in_t=now.in_t, up_t=now.up_t)  # a yes may have told more than the boil
        self.beliefs[entry.load] = was
        for other, belief in entry.others:  # an answer can be of several
            if self.beliefs[other].lost_t == entry.t:
                self.beliefs[other] = belief
        known = {each.number for each in self.doubts} | self.settled
        for each in entry.doubts:
            if each.number not in known and entry.load in each.open:
                denied = self.answered == "wrong no" and len(each.open) > 1
                marks = (*each.marks, "denied" if denied else "taken back")
                self.doubts = (
                    *self.doubts,
                    replace(each, open=each.open - ({entry.load} if denied else set()), marks=marks),
                )
        if revives:
            self._new("taken back", frozenset({entry.load}), f"{entry.kind} taken back")
        elif well and was.at == "hold":
            self._new("misses", frozenset({entry.load}), f"{entry.kind} taken back")

    def _taken_back(self, text: str, recorded: Sequence[Recorded]) -> None:
        """The cook wants something taken back, and nothing was (yet): what is denied so isn't settled near the end."""
        if not self.scratching or any(each.kind == "scratched" for each in recorded):
            return
        asked = {question[0] for each in sentences_of(text) if (question := question_in(each)) is not None}
        open_still = any(each.family == "scratch" for each in self.doubts)
        if asked & {"retake", "steady"} and "left as it was" not in text and not open_still:
            loads = frozenset(x for x, b in self.beliefs.items() if b.at in ("hold", "done"))
            loads &= {self.taken[-1].load} if self.taken else loads
            self._new("scratch", loads, "scratch that")
            self.doubts = tuple(each for each in self.doubts if each.open)
            return
        if self.asked_before is not None and self.asked_before.kind == "which":  # it was taken for none of them
            for load in self.aired - self.holds():
                self._believe(load, air=False)
        for each in self.doubts:
            self._put(replace(each, marks=(*each.marks, "taken back")))

    def _full(self, load: int, what: str) -> list[Fault]:
        b = self.beliefs[load]
        if load in self.blamed:
            return []
        if b.spoilt:
            return [Fault("faults", what, load, "a fault was told")]
        self.blamed |= {load}
        over = min(b.done_t or self.t, self._ended(load))  # heat off after that is as it has to be
        doubts = (x for x in self.doubts if load in x.open and not (x.family == "heat" and x.t > over))
        doubt = next(doubts, None)
        if doubt is not None:
            return [Fault(hazard(doubt), what, load, doubt.cause, doubt.marks)]
        needs = 60 * self._called(load).minutes
        if b.done_t is None and (b.started is None or self.t - b.started < needs - 1.0):
            return [Fault("not held", f"{what}, though no hold ran so long", load, "")]
        self.blamed -= {load}
        return []

    def _vented(self, load: int) -> list[Fault]:
        b = self.beliefs[load]
        doubt = next((each for each in self.doubts if load in each.open), None)
        if doubt is not None:
            return [Fault(hazard(doubt), "the vent is called done", load, doubt.cause, doubt.marks)]
        if b.steam_t is None or self.t - b.steam_t < VENT_S - 1.0:
            return [Fault("not held", "the vent is called done, though none ran so long", load, "")]
        return []

    def _start(self, load: int) -> list[Fault]:
        b, cause = self.beliefs[load], "" if self.said is None else self.said.rest
        if load not in self.ready:
            return [Fault("not held", "a hold starts that nobody reported", load, cause)]
        if len(self.ready) > 1:
            return [Fault("not held", "a hold starts by a report that may be of another load", load, cause)]
        if b.cold:
            return [Fault("not held", "a hold starts with the heat off", load, cause)]
        if self._called(load).acid and not b.acid:
            return [Fault("acid", "the time starts, and nobody confirmed the acid", load, cause)]
        if b.air:
            return [Fault("air", "a hold starts with air back in the canner", load, cause)]
        return []

    def _said(self, text: str, load: int | None) -> list[Fault]:
        """Look at what was claimed, sentence by sentence, and at what was asked."""
        faults: list[Fault] = []
        of_question: set[int] = set()
        for sentence in sentences_of(text):
            names = {each.id for each in self.loads if each.name in sentence}
            if len(names) == 1:
                (load,) = names
            of_question = of_question | names if "which load" not in sentence else names
            if load is not None and self.beliefs[load].at == "done" and TURN_OFF.search(sentence):
                self.told_off = (load, self.t)
            self.seen |= {*claims_in(sentence)}
            for claim in claims_in(sentence):
                faults += self._claim(claim, sentence, load)
            question = None if NOT_UNDERSTOOD.search(sentence) else question_in(sentence)
            self.seen |= {question[0]} if question is not None else set()
            self.invites = self.invites or (question is not None and question[0] != "other")
            if question is not None and not (question[0] == "other" and self.asked is not None):
                about = self._about(question[0], load, of_question)
                if question[0] == "which" and self.said is not None and self.said.opening:
                    self.waiting = self.waiting_before if self._asks_again() else self.waiting
                wait_s = 20.0 + len(text) / 13.0
                self.asked = Asked(*question, about, self.t + wait_s)
        return faults

    def _asks_again(self) -> bool:
        """Tell whether "which load?" after an answer is still about what was told before."""
        return self.asked_before is not None and self.asked_before.kind == "which"

    def _about(self, kind: str, load: int | None, names: set[int]) -> frozenset[int]:
        if kind == "which":
            return frozenset(names or self.beliefs)
        if load is not None:
            return frozenset({load})
        if kind == "behind":
            return frozenset(x for x, b in self.beliefs.items() if b.started is None)
        if kind == "mended":
            broken = frozenset(x for x, b in self.beliefs.items() if b.broken)
            return broken or frozenset(self.beliefs if len(self.beliefs) == 1 else ())
        if kind in ("acid", "soon", "gone"):
            return frozenset(
                x.id for x in self.loads if (x.acid if kind == "acid" else self.beliefs[x.id].at == "cool")
            )
        fit = [x for x, b in self.beliefs.items() if b.at in ("hold", "lost", "done", "vent")]
        in_doubt = {x for each in self.doubts for x in each.open}
        return frozenset(in_doubt if len(in_doubt) == 1 else fit if len(fit) == 1 else ())

    def _claim(self, claim: str, sentence: str, load: int | None) -> list[Fault]:
        if load is None:
            fit = [x for x, b in self.beliefs.items() if b.at in ("done", "cool", "out", "hold", "lost")]
            load = fit[0] if len(fit) == 1 else None
        if load is None or (self._called(load).gauge in WITHOUT_PRESSURE and claim in ("weight off", "open")):
            return []
        b = self.beliefs[load]
        self.claimed |= {load} if "on record" in sentence or claim == "shelf" else set()
        if claim == "full" and b.at in ("done", "cool", "hold", "lost"):
            return self._full(load, "said to be held in full")
        if claim == "weight off" and b.at in UNDER and b.zero_t is None:
            soon = b.zeros == 1 and b.at in ("cool", "done")
            return [Fault("zero so soon" if soon else "under pressure", "the weight may come off", load, self._cause())]
        if claim == "open" and b.at in UNDER and not self._may_open(load):
            return [Fault("under pressure", "the lid may come off", load, self._cause())]
        late = b.done_t is not None and self.t - b.done_t >= DAY_S
        if claim == "rescue" and late and not re.search(r"throw|thrown", sentence):
            return [Fault("a day over", "a jar is to be kept after a day", load, self._cause())]
        if claim == "shelf" and b.at == "out":
            rested = b.counted_t is not None and b.out_t is not None and self.t - b.out_t >= REST_S - 1.0
            faults = self._full(load, "put on the shelf")
            return faults or (
                [] if rested or self.answered else [Fault("a day over", "shelved unrested", load, self._cause())]
            )
        return []

    def _left_out(self, text: str) -> list[Fault]:
        """Look for what had to be said: anything at all to an answer or a call, a warning, a question."""
        faults, cause = [], self._cause()
        if self.expects_words and not text and self.said is not None and self.said.word != "sleep":
            faults.append(Fault("silence", "nothing is said", None, self.answered or cause, grave=False))
        if self.open_asked and not WARNING.search(text) and "which load" not in text:
            faults.append(Fault("may it be opened", "no warning", min(self.open_asked), cause, grave=False))
        if self.rising and "falling" in text:
            faults.append(Fault("rising", "rising pressure is called falling", min(self.rising), cause, grave=False))
        if self.said is not None and self.said.broke:
            shut = [x for x in self._of(self.said, ("vent", *UNDER), pressure=True) if not self._is_open(x)]
            if shut and not WARNING.search(text) and "which load" not in text:
                faults.append(Fault("a broken jar", "not told to leave it closed", shut[0], cause, grave=False))
        return faults

    def _understood(self, text: str) -> None:
        """Count what was said to it and not understood. Two running in a hold are a doubt on it."""
        if self.answered:
            self.misses = 0
        if self.said is None or self.asleep:
            return
        if NOT_UNDERSTOOD.search(text):
            self.asked, self.waiting = self.asked or self.asked_before, self.waiting_before  # it is still open
        elif text or self.said.called:
            self.misses = 0
            return
        if not self.said.called:
            return
        self.misses += 1
        for each in self.doubts:
            if each.number > self.known and "not understood" not in each.marks:
                self._put(replace(each, marks=(*each.marks, "not understood")))
        holding = frozenset(x for x, b in self.beliefs.items() if b.at == "hold")
        if self.misses == 2 and holding:
            for load in sorted(holding):
                self._new("misses", frozenset({load}), "twice not understood")

    def _cause(self) -> str:
        return "" if self.said is None else self.said.rest or self.said.text
