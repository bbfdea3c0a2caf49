"""What may be said of each load, worked out beside the dialogue: from what the cook said, what she was asked, and the clock.

It shares no code with the dialogue or the engine. Of what is recorded it reads kinds and loads only, to know which load
the program took a report for. It is strict: whatever could contradict a hold is a doubt on it, and only an answer about
that doubt settles it as held. `Fault` names what was said that may not be said.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from sentences import NOT_UNDERSTOOD, OTHER_NUMBERS, WARNING, Said, claims_in, question_in, read, sentences_of

__all__ = ["Called", "Fault", "Oracle"]

VENT_S, SETTLE_S = 600.0, 600.0
BREATH_S = 60.0
"""For so long what was said last can be taken back as misheard; also how long after its end a reading tells of a hold."""
GAP_S, LONG_CUT_S = 10.0, 1800.0
SOONEST_ZERO_S = 600.0
"""No canner of jars is down sooner: the guide prints about 30 minutes with pints and 45 with quarts for old ones, and
that newer ones cool more rapidly (page 1-22). A third of the shorter one is common practice, no source."""
REST_S, DAY_S = 12 * 3600.0, 24 * 3600.0
_UNDER = ("up", "hold", "lost", "done", "cool")
_HERS_NOT = frozenset(
    {"timer_due", "call_again", "session_start", "answer_call", "load_select", "scratched", "hold_done", "hold_lost"}
    | {"hold_started", "hold_restarted", "vent_started", "vent_stopped", "vent_done"}
)


class Recorded(Protocol):
    """A recorded event, as far as it is read here."""

    @property
    def kind(self) -> str: ...
    @property
    def load(self) -> int | None: ...


@dataclass(frozen=True, slots=True)
class Called:
    """A load as it was started: by what it is called, how it is watched, the numbers it needs."""

    id: int
    name: str
    names: tuple[str, ...]
    gauge: str
    minutes: float
    psi: float = 0.0
    acid: bool = False


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that may contradict a hold. `open`: loads it may be of; `aside`: those that were let go because another
    was named. `marks` tell what happened to it."""

    number: int
    family: str
    open: frozenset[int]
    cause: str
    t: float
    aside: frozenset[int] = frozenset()
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """The last question of the program: what it is about, what a yes says, of which loads, until when it waits."""

    kind: str
    yes: str
    loads: frozenset[int]
    until: float


@dataclass(frozen=True, slots=True)
class Belief:
    """What the reports say of one load. Times are when it was said; `None`: it wasn't, or holds no more."""

    in_t: float | None = None
    steam_t: float | None = None
    vented: bool = False
    up_t: float | None = None
    started: float | None = None
    done_t: float | None = None
    lost_t: float | None = None
    cold: bool = False
    air: bool = False
    off_t: float | None = None
    psi: float | None = None
    zero_t: float | None = None
    zeros: int = 0
    out_t: float | None = None
    counted_t: float | None = None
    acid: bool = False
    corrected: bool = False

    @property
    def at(self) -> str:
        """How far it has come."""
        ways = (("out", self.out_t), ("cool", self.off_t), ("done", self.done_t), ("hold", self.started))
        more = (("lost", self.lost_t), ("up", self.up_t), ("vent", self.steam_t), ("in", self.in_t))
        return next((name for name, t in (*ways, *more) if t is not None), "pack")


@dataclass(frozen=True, slots=True)
class Taken:
    """A report that was taken, and what was believed before it: it can be taken back."""

    t: float
    kind: str
    load: int
    before: Belief
    doubts: tuple[Doubt, ...]
    sure: bool


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that may not be: the hazard, what was said, of which load, and what had been said before."""

    hazard: str
    what: str
    load: int | None
    cause: str
    marks: tuple[str, ...] = ()
    grave: bool = True

    @property
    def kind(self) -> tuple[str, str, str]:
        """What makes it another fault than others."""
        return self.hazard, self.what, self.cause


@dataclass(slots=True)
class Oracle:
    """One kitchen, believed from outside."""

    loads: tuple[Called, ...]
    call: str
    beliefs: dict[int, Belief] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    taken: tuple[Taken, ...] = ()
    asked: Asked | None = None
    waiting: Said | None = None
    focus: tuple[int, float] | None = None
    misses: int = 0
    asleep: bool = False
    t: float = 0.0
    settled: frozenset[int] = frozenset()
    counter: int = 0
    known: int = 0
    said: Said | None = None
    ready: frozenset[int] = frozenset()
    answered: str = ""
    scratching: bool = False
    sure: bool = False
    expects_words: bool = False
    before: dict[int, Belief] = field(default_factory=dict)
    doubts_before: tuple[Doubt, ...] = ()
    open_asked: frozenset[int] = frozenset()
    rising: frozenset[int] = frozenset()
    blamed: frozenset[int] = frozenset()
    claimed: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        self.beliefs = self.beliefs or {load.id: Belief() for load in self.loads}

    def copy(self) -> Oracle:
        """Return another one that believes the same."""
        return replace(self, beliefs=dict(self.beliefs), before=dict(self.before))

    # ------------------------------------------------------------ what the cook says

    def hear(self, text: str, t: float) -> None:
        """Take what the cook says."""
        said = self._begin(t, read(text, self.call, tuple(name for load in self.loads for name in load.names)))
        waits = self.asked is not None and t <= self.asked.until
        answers = waits and said.word in ("yes", "no") and self.asked is not None and self.asked.kind != "other"
        self.expects_words = (said.called or answers) and not self.asleep
        if not said.called and not waits:
            return
        if said.word in ("sleep", "wake"):
            self.asleep, self.asked = said.word == "sleep", None
        elif not self._answer(said, waits=waits) and not (self.asleep and not said.called):
            self._report(said)

    def _begin(self, t: float, said: Said | None) -> Said:
        self.t, self.said = t, said
        self.before, self.doubts_before, self.known = dict(self.beliefs), self.doubts, self.counter
        self.ready = self.open_asked = self.rising = frozenset()
        self.answered, self.scratching, self.sure, self.expects_words = "", False, False, False
        return said or Said("", called=False)

    def _answer(self, said: Said, *, waits: bool) -> bool:
        """Take a yes, a no, a name or a number as the answer to what was asked last; tell whether it was one."""
        asked = self.asked
        if asked is None or not (waits or said.called):
            return False
        if asked.kind == "which" and said.names and (not said.rest or self._same_report(said)):
            self._name(self._named(said))
        elif waits and asked.kind == "gauge" and said.psi and not said.names and len(asked.loads) == 1:
            self._reading(replace(said, names=()), asked.loads)
        elif said.word in ("yes", "no") and asked.kind not in ("which", "gauge"):
            self._yes_or_no(said.word, asked)
        elif said.word == "no" and asked.kind == "which":
            self._mark("no to all", asked.loads)
        else:
            return False
        self.asked = None
        return True

    def _yes_or_no(self, word: str, asked: Asked) -> None:
        self.answered = f"{asked.kind} {word}"
        held = asked.yes == "held" if word == "yes" else asked.yes == "lost"
        if asked.kind == "heat" and not held:
            self.sure = True
            for load in asked.loads:
                self._heat_is_off(load)
        elif asked.kind == "heat":
            self._held(asked.loads, "heat")
        elif asked.kind == "retake":
            self.doubts = tuple(each for each in self.doubts if each.family != "scratch")
        elif asked.kind in ("steady", "below") and held:
            self._held(asked.loads, "gap", "taken back", "after the end")
        elif asked.kind in ("steady", "below"):
            self._drop(each for each in asked.loads if self.beliefs[each].at in ("hold", "done"))
        elif asked.kind == "state":
            (self._held_by_report if held else self._lose_all)(asked.loads)
        elif asked.kind == "steam" and held:
            self._held(asked.loads, "steam", "gap")
        elif word == "yes" and self.waiting is not None and "altitude" in self.waiting.rest:
            for load, b in self.beliefs.items():
                self._believe(load, corrected=b.at != "out")
        elif asked.kind == "acid" and word == "yes":
            self._acid_is_in(asked.loads)
        elif asked.kind == "soon" and held:
            for load in asked.loads:
                self._at_zero(load)

    def _same_report(self, said: Said) -> bool:
        was = self.waiting
        families = {"heat": "heat"}
        return was is not None and (
            (bool(was.loss or was.psi is not None) and families.get(said.loss, "up") == families.get(was.loss, "up"))
            or said.rest == was.rest
        )

    def _name(self, named: frozenset[int]) -> None:
        """Take the answer to "which load?"."""
        was = self.waiting
        for each in self.doubts:
            if len(each.open) > 1 and each.open & named and each.family in ("heat", "pressure", "weight", "boil"):
                self._put(replace(each, open=each.open & named, aside=each.aside | (each.open - named)))
        if was is None or len(named) != 1:
            return
        (load,) = named
        if was.good or was.psi:
            self.ready = named
        if (was.zero or was.down) and self.beliefs[load].at in ("cool", "done", "lost"):
            self._at_zero(load)

    # ------------------------------------------------------------ reports

    def _report(self, said: Said) -> None:
        if said.word in ("scratch", "cancel"):
            self.scratching, self.asked = True, None
            return
        if said.names and not said.rest:
            (load,) = tuple(self._named(said))[:1]
            self.focus = (load, self.t)
            return
        self.waiting = said
        if self.asked is not None and self.asked.kind == "acid" and said.rest in ("done", "clear", "checked"):
            self._acid_is_in(self.asked.loads)
        if self.asked is not None and self.asked.kind in ("gauge", "state", "other"):
            self.asked = None
        if said.opening:
            self.open_asked = frozenset(x for x in self._of(said, _UNDER, pressure=True) if not self._may_open(x))
        if said.not_zero:
            for load in self._of(said, ("cool",), pressure=True):
                self._believe(load, zero_t=None, zeros=0)
        if said.heat_on:
            self._heat_is_on(said)
        if said.zero or said.down:
            self._zero(said)
        elif said.psi is not None:
            self._reading(said, frozenset())
        elif said.loss == "heat":
            self._doubt("heat", self._of(said, ("in", "vent", *_UNDER[:-1])), said)
        elif said.loss == "weight":
            self._doubt("weight", self._of(said, ("hold", "done"), gauge="weighted"), said)
        elif said.loss == "boil":
            self._doubt("boil", self._of(said, ("hold", "done"), gauge="bath"), said)
        elif said.loss:
            self._doubt("pressure", self._of(said, ("hold", "done", "cool"), pressure=True), said)
        elif said.good:
            gauge = "weighted" if said.good == "weight" else "bath"
            self._is_well(self._of(said, ("in", "up", "hold", "lost"), gauge=gauge))
        elif said.steam == "lost":
            self._new("steam", self._of(said, ("vent",)), said.rest)
            self.doubts = tuple(each for each in self.doubts if each.open)

    def _acid_is_in(self, loads: Iterable[int]) -> None:
        for load in loads:
            self._believe(load, acid=True)

    def _zero(self, said: Said) -> None:
        """Take a zero. It is of a canner that can be there; only said to be down, it may be a hold that is lost too."""
        loads = frozenset(
            x for x in self._of(said, ("cool", "done", "lost"), pressure=True) if self._can_be_down(x, said)
        )
        if said.down or not loads:
            holding = self._of(said, ("hold",), pressure=True)
            dials = holding if said.down else self._of(said, ("hold",), gauge="dial")
            loads |= dials or holding
            self._doubt("pressure", loads, said)
        if len(loads) == 1:
            (load,) = loads
            if self.beliefs[load].at in ("cool", "done"):
                self._at_zero(load)
            elif self.beliefs[load].at in ("hold", "lost") and said.zero:
                self._believe(load, air=True)

    def _can_be_down(self, load: int, said: Said) -> bool:
        """Tell whether a canner can be at zero, or only low as well if no more was said: a lost one needs its heat off,
        one whose heat nobody reported off needs time."""
        b = self.beliefs[load]
        if b.at == "done" and self.t - (b.done_t or 0.0) < SOONEST_ZERO_S:
            return not self._of(said, ("cool",), pressure=True)
        cooling = self._of(said, ("cool",), pressure=True)
        return b.at != "lost" or b.cold or said.down or bool(said.names) or not cooling

    def _reading(self, said: Said, asked: frozenset[int]) -> None:
        dials = asked or self._of(said, ("up", "hold", "lost", "done", "cool"), gauge="dial")
        loads = dials or self._of(said, ("up", "hold", "lost"), gauge="weighted")
        psi = said.psi or 0.0
        low = frozenset(x for x in loads if psi < self._called(x).psi or (said.below and psi <= self._called(x).psi))
        cooling = [x for x in loads if self.beliefs[x].at == "cool"]
        if low:
            family = "pressure" if dials else "low number"
            self._doubt(family, frozenset(low), said)
        if dials and not low:
            self._is_well(frozenset(x for x in loads if self.beliefs[x].at in ("up", "hold", "lost")))
        for load in cooling:
            was = self.beliefs[load].psi
            self.rising |= {load} if len(loads) == 1 and was is not None and psi > was + 0.5 else frozenset()
            self._believe(load, zero_t=None, zeros=0)
        for load in loads if len(loads) == 1 else ():
            self._believe(load, psi=psi)

    def _doubt(self, family: str, loads: frozenset[int], said: Said) -> None:
        """Open a doubt on all the loads that a report may be of, if a hold among them can have been lost by it."""
        ended = {x for x in loads if self.beliefs[x].at == "done"}
        late = {x for x in ended if family != "heat" and self.t - (self.beliefs[x].done_t or 0.0) <= BREATH_S}
        loads = loads if family == "heat" else frozenset(x for x in loads if x not in ended or x in late)
        if not any(self.beliefs[x].at == "hold" for x in loads) and not late:
            return
        same = [x for x in self.doubts if x.family == family and x.open == loads]
        if not same:
            marks = ("after the end",) if late else ()
            self._new(family, loads, "what was said while it slept" if self.asleep else said.rest, marks)

    def _is_well(self, loads: frozenset[int]) -> None:
        """A report that the hold holds, or can begin."""
        self.ready = loads
        if len(loads) == 1:
            self._held_by_report(loads)

    def _held_by_report(self, loads: Iterable[int]) -> None:
        self._held(loads, "misses", "low number")

    def _heat_is_on(self, said: Said) -> None:
        """Heat that is lit again was off meanwhile: no doubt about it is settled as held. It is on from now."""
        loads = self._of(said, ("in", "vent", "up", "hold", "lost"))
        for load in loads if len(loads) == 1 or said.names else (x for x in loads if self.beliefs[x].at != "hold"):
            self._believe(load, cold=False)

    def _heat_is_off(self, load: int) -> None:
        if self.beliefs[load].at == "done":
            self._believe(load, off_t=self.t)
            self._close(load, "heat")
            if self.waiting is not None and (self.waiting.zero or self.waiting.down):
                self._at_zero(load)
        else:
            self._lose(load)
            self._believe(load, cold=True)

    def _at_zero(self, load: int) -> None:
        b = self.beliefs[load]
        zeros, since = b.zeros + 1, self.t - (b.off_t or b.done_t or 0.0)
        if b.zero_t is None and (since >= SOONEST_ZERO_S or zeros > 1):
            self._believe(load, zero_t=self.t, zeros=zeros)
        else:
            self._believe(load, zeros=zeros)

    # ------------------------------------------------------------ beliefs

    def _called(self, load: int) -> Called:
        return next(each for each in self.loads if each.id == load)

    def _named(self, said: Said) -> frozenset[int]:
        return frozenset(load.id for load in self.loads if set(load.names) & set(said.names))

    def _of(self, said: Said, ats: Sequence[str], *, gauge: str = "", pressure: bool = False) -> frozenset[int]:
        """Return the loads that a report may be of: those it names, the one just named, or all that have come so far."""
        named = self._named(said)
        fit = frozenset(
            load.id
            for load in self.loads
            if self.beliefs[load.id].at in ats
            and (not gauge or load.gauge == gauge)
            and not (pressure and load.gauge == "bath")
            and (not named or load.id in named)
        )
        focus, since = self.focus or (0, 0.0)
        return frozenset({focus}) if not named and focus in fit and self.t - since <= BREATH_S else fit

    def _believe(self, load: int, **what: float | bool | None) -> None:
        self.beliefs[load] = replace(self.beliefs[load], **what)  # type: ignore[arg-type]

    def _new(self, family: str, loads: frozenset[int], cause: str, marks: tuple[str, ...] = ()) -> None:
        self.counter += 1
        self.doubts = (*self.doubts, Doubt(self.counter, family, loads, cause, self.t, marks=marks))

    def _put(self, doubt: Doubt) -> None:
        rest = tuple(each if each.number != doubt.number else doubt for each in self.doubts)
        self.doubts = tuple(each for each in rest if each.open)

    def _mark(self, mark: str, loads: frozenset[int]) -> None:
        for each in self.doubts:
            if each.open & loads and mark not in each.marks:
                self._put(replace(each, marks=(*each.marks, mark)))

    def _held(self, loads: Iterable[int], *families: str) -> None:
        """Settle doubts as held for these loads. One that was let go for another comes back to it."""
        loads = frozenset(loads)
        for each in self.doubts:
            if each.family not in families or not each.open & loads:
                continue
            rest = each.open - loads
            if not rest and each.aside:
                self._put(replace(each, open=each.aside, aside=frozenset(), marks=(*each.marks, "denied")))
            else:
                self.settled |= frozenset() if rest else {each.number}
                self._put(replace(each, open=rest))

    def _close(self, load: int, *families: str) -> None:
        """The report has found the load it was of."""
        for each in self.doubts:
            if load in each.open and (not families or each.family in families):
                self._put(replace(each, open=each.open - {load}, aside=frozenset()))

    def _drop(self, loads: Iterable[int]) -> None:
        for load in loads:
            self._lose(load)

    def _lose_all(self, loads: Iterable[int]) -> None:
        self.sure = True
        self._drop(loads)

    def _lose(self, load: int) -> None:
        gap = next((x for x in self.doubts if load in x.open and x.family == "gap" and "long" in x.marks), None)
        air = self.beliefs[load].air or gap is not None
        if self.beliefs[load].at in ("hold", "done"):
            self._believe(load, started=None, done_t=None, lost_t=self.t, air=air)
        self._close(load)

    def holds(self) -> frozenset[int]:
        """Return the loads whose hold counts, by what was said."""
        return frozenset(load for load, b in self.beliefs.items() if b.at == "hold")

    def unsettled(self) -> frozenset[tuple[str, str, frozenset[int]]]:
        """Return what could still be said wrongly if nobody said anything more: doubts of loads that weren't blamed."""
        return frozenset((x.family, x.cause, x.open) for x in self.doubts if x.open - self.blamed)

    def _may_open(self, load: int) -> bool:
        b = self.beliefs[load]
        return b.zero_t is not None and self.t - b.zero_t >= SETTLE_S - 1.0

    # ------------------------------------------------------------ what the program does

    def cut(self, t: float, off_s: float) -> None:
        """The program was away for so long, and has forgotten all that it didn't write down."""
        self._begin(t, None)
        self.asked, self.waiting, self.focus, self.misses, self.asleep = None, None, None, 0, False
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
        place = next((each.load for each in recorded if each.load in self.beliefs), None)
        for part, load in said:
            faults += self._said(part, load if load in self.beliefs else place)
        full = [x for x, b in self.beliefs.items() if b.corrected and x in self.claimed]
        if full and not OTHER_NUMBERS.search(text):
            faults.append(Fault("H9", "a correction isn't told", full[0], "", grave=False))
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
            faults = self._full(load, "called done in full")
            self.claimed |= {load}
            self._believe(load, done_t=self.t)
        elif kind == "vent_done":
            faults = self._vented(load)
        elif kind in ("hold_started", "hold_restarted"):
            faults = self._start(load)
            self._close(load, "gap", "misses", "taken back", "scratch", "low number")
            self._believe(load, started=self.t, lost_t=None, done_t=None)
            self.blamed -= {load}
        elif kind == "hold_lost":
            self._lose(load)
        elif kind == "scratched":
            self._pop(load)
        elif kind == "heat_off" and b.at == "done":
            self._believe(load, off_t=self.t)
            self._close(load, "heat")
        elif kind == "heat_off":
            self._believe(load, cold=True)
        elif kind in ("jars_in", "heat_on", "weight_on", "steam_steady", "jars_out", "seal_count", "vent_stopped"):
            self._moved(kind, load)
        if kind not in _HERS_NOT:
            was = self.before.get(load, b)
            self.taken = (*self.taken[-5:], Taken(self.t, kind, load, was, self.doubts_before, self.sure))
        return faults

    def _moved(self, kind: str, load: int) -> None:
        b, bath = self.beliefs[load], self._called(load).gauge == "bath"
        if kind == "jars_in":
            self._believe(load, in_t=self.t)
        elif kind == "heat_on" and bath and b.at == "in":
            self._believe(load, up_t=self.t)
        elif kind == "heat_on":
            self._believe(load, cold=False)
        elif kind == "steam_steady" and b.steam_t is None:
            self._believe(load, steam_t=self.t, cold=False)
        elif kind == "vent_stopped":
            self._believe(load, steam_t=None, vented=False)
            self._close(load)
        elif kind == "weight_on" and b.at == "vent":
            self._believe(load, up_t=self.t, vented=True, air=False)
        elif kind == "jars_out":
            self._believe(load, out_t=self.t)
        elif kind == "seal_count":
            self._believe(load, counted_t=self.t)

    def _pop(self, load: int) -> None:
        """The last report was taken back: believe what was believed before it. A loss that is taken back is a doubt,
        unless it is corrected within the breath and the hold has time left."""
        if not self.taken:
            return
        entry, self.taken = self.taken[-1], self.taken[:-1]
        now, was = self.beliefs[entry.load], entry.before
        revives = was.at in ("hold", "done") and now.at not in ("hold", "done", "cool")
        self.beliefs[entry.load] = was
        known = {each.number for each in self.doubts} | self.settled
        for each in entry.doubts:
            if each.number not in known and entry.load in each.open:
                denied = "wrong no" == self.answered and len(each.open) > 1
                marks = (*each.marks, "denied" if denied else "taken back")
                self.doubts = (
                    *self.doubts,
                    replace(each, open=each.open - ({entry.load} if denied else set()), marks=marks),
                )
        if not revives:
            return
        needs = 60 * self._called(entry.load).minutes
        late = self.t - entry.t > BREATH_S or (was.started or 0.0) + needs <= self.t
        if self.answered != "steady yes" and (late or entry.sure):
            self._new(
                "taken back", frozenset({entry.load}), f"{entry.kind} taken back", ("late",) if late else ("sure",)
            )

    def _taken_back(self, text: str, recorded: Sequence[Recorded]) -> None:
        """She wants something taken back, and nothing was (yet): what she denied so isn't settled near the end."""
        if not self.scratching or any(each.kind == "scratched" for each in recorded):
            return
        asked = [question_in(each) for each in sentences_of(text)]
        if any(each is not None and each[0] in ("retake", "steady") for each in asked):
            loads = frozenset(x for x, b in self.beliefs.items() if b.at in ("hold", "done"))
            self._new("scratch", loads, "scratch that")
            self.doubts = tuple(each for each in self.doubts if each.open)
            return
        if "left as it was" not in text:
            return
        for each in self.doubts:
            if each.family not in ("heat", "pressure", "weight", "boil") or self.t - each.t > BREATH_S:
                continue
            began = {x: self.beliefs[x].started for x in each.open}
            ends = [t + 60 * self._called(x).minutes for x, t in began.items() if t is not None]
            if min(ends, default=self.t) > self.t:
                self.settled |= {each.number}
                self.doubts = tuple(x for x in self.doubts if x.number != each.number)
            else:
                self._put(replace(each, marks=(*each.marks, "taken back at the end")))

    # ------------------------------------------------------------ what may be said

    def _full(self, load: int, what: str) -> list[Fault]:
        b = self.beliefs[load]
        if load in self.blamed:
            return []
        self.blamed |= {load}
        over = b.done_t or self.t
        doubts = (x for x in self.doubts if load in x.open and not (x.family == "heat" and x.t > over))
        doubt = next(doubts, None)
        if doubt is not None:
            return [Fault(_hazard(doubt), what, load, doubt.cause, doubt.marks)]
        needs = 60 * self._called(load).minutes
        if b.done_t is None and (b.started is None or self.t - b.started < needs - 1.0):
            return [Fault("H1", f"{what}, though no hold ran so long", load, "")]
        self.blamed -= {load}
        return []

    def _vented(self, load: int) -> list[Fault]:
        b = self.beliefs[load]
        doubt = next((each for each in self.doubts if load in each.open), None)
        if doubt is not None:
            return [Fault(_hazard(doubt), "the vent is called done", load, doubt.cause, doubt.marks)]
        if b.steam_t is None or self.t - b.steam_t < VENT_S - 1.0:
            return [Fault("H1", "the vent is called done, though none ran so long", load, "")]
        return []

    def _start(self, load: int) -> list[Fault]:
        b, cause = self.beliefs[load], "" if self.said is None else self.said.rest
        if load not in self.ready:
            return [Fault("H1", "a hold starts that nobody reported", load, cause)]
        if len(self.ready) > 1:
            return [Fault("H1", "a hold starts by a report that may be of another load", load, cause)]
        if b.cold:
            return [Fault("H1", "a hold starts with the heat off", load, cause)]
        if self._called(load).acid and not b.acid:
            return [Fault("H10", "the time starts, and nobody confirmed the acid", load, cause)]
        if b.air:
            return [Fault("H16", "a hold starts with air back in the canner", load, cause)]
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
            for claim in claims_in(sentence):
                faults += self._claim(claim, sentence, load)
            question = question_in(sentence)
            if question is not None and not (question[0] == "other" and self.asked is not None):
                about = self._about(question[0], load, of_question)
                wait_s = 20.0 + len(text) / 13.0
                self.asked = Asked(*question, about, self.t + wait_s)
        return faults

    def _about(self, kind: str, load: int | None, names: set[int]) -> frozenset[int]:
        if kind == "which":
            return frozenset(names or self.beliefs)
        if load is not None:
            return frozenset({load})
        fit = [x for x, b in self.beliefs.items() if b.at in ("hold", "lost", "done", "vent")]
        in_doubt = {x for each in self.doubts for x in each.open}
        return frozenset(in_doubt if len(in_doubt) == 1 else fit if len(fit) == 1 else ())

    def _claim(self, claim: str, sentence: str, load: int | None) -> list[Fault]:
        if load is None:
            fit = [x for x, b in self.beliefs.items() if b.at in ("done", "cool", "out", "hold", "lost")]
            load = fit[0] if len(fit) == 1 else None
        if load is None or self._called(load).gauge == "bath" and claim in ("weight off", "open"):
            return []
        b = self.beliefs[load]
        self.claimed |= {load} if "on record" in sentence or claim == "shelf" else set()
        if claim == "full" and b.at in ("done", "cool", "hold", "lost"):
            return self._full(load, "said to be held in full")
        if claim == "weight off" and b.at in _UNDER and b.zero_t is None:
            soon = b.zeros == 1 and b.at in ("cool", "done")
            return [Fault("H12" if soon else "H11", "the weight may come off", load, self._cause())]
        if claim == "open" and b.at in _UNDER and not self._may_open(load):
            return [Fault("H11", "the lid may come off", load, self._cause())]
        late = b.done_t is not None and self.t - b.done_t >= DAY_S
        if claim == "rescue" and late and not re.search(r"throw|thrown", sentence):
            return [Fault("H17", "a jar is to be kept after a day", load, self._cause())]
        if claim == "shelf" and b.at == "out":
            rested = b.counted_t is not None and b.out_t is not None and b.counted_t - b.out_t >= REST_S - 1.0
            faults = self._full(load, "put on the shelf")
            return faults or (
                [] if rested or self.answered else [Fault("H17", "shelved unrested", load, self._cause())]
            )
        return []

    def _left_out(self, text: str) -> list[Fault]:
        """Look for what had to be said: anything at all to an answer or a call, a warning, a question."""
        faults, cause = [], self._cause()
        if self.expects_words and not text and self.said is not None and self.said.word != "sleep":
            faults.append(Fault("silence", "nothing is said", None, self.answered or cause, grave=False))
        if self.open_asked and not WARNING.search(text) and "which load" not in text:
            faults.append(Fault("H14", "no warning", min(self.open_asked), cause, grave=False))
        if self.rising and "falling" in text:
            faults.append(Fault("H13", "rising pressure is called falling", min(self.rising), cause, grave=False))
        if self.said is not None and self.said.broke:
            shut = [x for x in self._of(self.said, ("vent", *_UNDER)) if not self._may_open(x)]
            if shut and not WARNING.search(text) and "which load" not in text:
                faults.append(Fault("H15", "not told to leave it closed", shut[0], cause, grave=False))
        return faults

    def _understood(self, text: str) -> None:
        """Count what was said to it and not understood. Two running in a hold are a doubt on it."""
        if self.said is None or not self.said.called or self.asleep:
            return
        if not NOT_UNDERSTOOD.search(text):
            self.misses = 0
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

    # ------------------------------------------------------------ comparing

    def key(self, rounded: object) -> object:
        """Return all that it will go on from. `rounded` is a function that makes a time comparable."""
        at = rounded
        assert callable(at)
        doubts = tuple((x.family, x.open, x.aside, x.cause, x.marks, at(x.t)) for x in self.doubts)
        beliefs = tuple(
            tuple(at(v) if isinstance(v, float) and v > 1e8 else v for v in (getattr(b, n) for n in b.__slots__))
            for b in self.beliefs.values()
        )
        asked = self.asked and (self.asked.kind, self.asked.loads, at(self.asked.until))
        focus = self.focus and (self.focus[0], at(self.focus[1]))
        taken = tuple((x.kind, x.load, at(x.t), x.sure) for x in self.taken)
        return beliefs, doubts, asked, focus, taken, self.misses, self.asleep, self.waiting and self.waiting.rest


def _hazard(doubt: Doubt) -> str:
    """Name the hazard by what became of a doubt."""
    marks = set(doubt.marks)
    if "not understood" in marks:
        return "H7"
    if "denied" in marks:
        return "H2"
    if doubt.family == "gap" or "cut" in marks:
        return "H3"
    if doubt.family in ("scratch", "taken back") or marks & {"taken back", "taken back at the end"}:
        return "H4"
    if "after the end" in marks:
        return "H5"
    if doubt.family == "misses":
        return "H6"
    return "H8" if doubt.family == "low number" else "H1"
