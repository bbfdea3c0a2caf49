"""What is believed of each load from outside: how far it has come by what was said, and every doubt about its hold.

A hold claims that it was at or above its target, without a break, for the whole time. Whatever may contradict that is a
doubt on every load that it can be of. Only an answer about it settles it as held.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from sentences import Said

__all__ = [
    "BREATH_S",
    "DAY_S",
    "GAP_S",
    "LONG_CUT_S",
    "REST_S",
    "SETTLE_S",
    "UNDER",
    "VENT_S",
    "WITHOUT_PRESSURE",
    "Asked",
    "Belief",
    "Beliefs",
    "Called",
    "Doubt",
    "Fault",
    "Taken",
    "hazard",
]

VENT_S, SETTLE_S = 600.0, 600.0
BREATH_S = 60.0
"""For so long what was said last can be taken back as misheard, and a reading after the end of a hold tells of it."""
GAP_S, LONG_CUT_S = 10.0, 1800.0
REST_S, DAY_S = 12 * 3600.0, 24 * 3600.0
WITHOUT_PRESSURE = ("bath", "steam")
UNDER = ("up", "hold", "lost", "done", "cool")


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
    cools_s: float = 2700.0
    """How long its canner takes to cool: 30 minutes with pints, 45 with quarts (the guide, page 1-22)."""


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
    bare: bool = False
    out_t: float | None = None
    counted_t: float | None = None
    acid: bool = False
    corrected: bool = False
    stuck: bool = False
    spoilt: bool = False
    broken: bool = False

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
    others: tuple[tuple[int, Belief], ...] = ()


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
class Beliefs:
    """One kitchen, believed from outside.

    `asked` is the program's last question, `invites` tells that it was the last thing said, `waiting` is the last
    report, `focus` the load that was named alone and when, `well` the loads that were last said to hold, or to be at
    zero, and when, `told_off` the one whose heat was to be turned off. `taken` are reports that can be taken back.
    `seen` are the kinds of claims and questions that were recognised, so that a change of the wording doesn't go
    unnoticed. `early`: a boil was told last of a load whose jars weren't in yet, which the program asks about. `aired`:
    lost loads that the last report may have let air into. What comes after `said` is of one sentence of the cook only:
    `ready` are the loads that it may start the hold of, `answered` is the question
    that it answered, `sure` tells that it confirmed a loss outright, `before` and `doubts_before` are what was believed
    before it, `asked_before` and `waiting_before` what was asked and reported.
    """

    loads: tuple[Called, ...]
    call: str
    beliefs: dict[int, Belief] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    taken: tuple[Taken, ...] = ()
    asked: Asked | None = None
    waiting: Said | None = None
    focus: tuple[int, float] | None = None
    well: tuple[frozenset[int], float] | None = None
    told_off: tuple[int, float] | None = None
    invites: bool = False
    seen: frozenset[str] = frozenset()
    misses: int = 0
    asleep: bool = False
    t: float = 0.0
    settled: frozenset[int] = frozenset()
    counter: int = 0
    known: int = 0
    early: bool = False
    aired: frozenset[int] = frozenset()
    said: Said | None = None
    ready: frozenset[int] = frozenset()
    answered: str = ""
    scratching: bool = False
    sure: bool = False
    expects_words: bool = False
    before: dict[int, Belief] = field(default_factory=dict)
    doubts_before: tuple[Doubt, ...] = ()
    asked_before: Asked | None = None
    waiting_before: Said | None = None
    open_asked: frozenset[int] = frozenset()
    rising: frozenset[int] = frozenset()
    blamed: frozenset[int] = frozenset()
    claimed: frozenset[int] = frozenset()

    def __post_init__(self) -> None:
        self.beliefs = self.beliefs or {load.id: Belief() for load in self.loads}

    def _called(self, load: int) -> Called:
        return next(each for each in self.loads if each.id == load)

    def _named(self, said: Said) -> frozenset[int]:
        return frozenset(load.id for load in self.loads if set(load.names) & set(said.names))

    def _of(self, said: Said, ats: Sequence[str], *, gauge: str = "", pressure: bool = False) -> frozenset[int]:
        """Return the loads that a report may be of: those it names, the one just named, or all at such a place."""
        named = self._named(said)
        fit = frozenset(
            load.id
            for load in self.loads
            if self.beliefs[load.id].at in ats
            and (not gauge or load.gauge == gauge)
            and not (pressure and load.gauge in WITHOUT_PRESSURE)
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

    def _held(self, loads: Iterable[int], *families: str, found: bool = False) -> None:
        """Settle doubts as held for these loads. One that was let go for another comes back to it, unless it was found
        that the report was of this one, and told of nothing that counts."""
        loads = frozenset(loads)
        for each in self.doubts:
            if each.family not in families or not each.open & loads:
                continue
            rest = each.open - loads
            if not rest and each.aside and not found:
                self._put(replace(each, open=each.aside, aside=frozenset(), marks=(*each.marks, "denied")))
            else:
                self.settled |= frozenset() if rest else {each.number}
                self._put(replace(each, open=rest))

    def _close(self, load: int, *families: str) -> None:
        """The report has found the load it was of."""
        for each in self.doubts:
            if load in each.open and (not families or each.family in families):
                self._put(replace(each, open=each.open - {load}, aside=frozenset()))

    def _lose(self, load: int) -> None:
        gap = next((x for x in self.doubts if load in x.open and x.family == "gap" and "long" in x.marks), None)
        air = self.beliefs[load].air or (gap is not None and self._called(load).gauge not in WITHOUT_PRESSURE)
        if self.beliefs[load].at in ("hold", "done"):
            self._believe(load, started=None, done_t=None, lost_t=self.t, air=air)
        self._close(load)

    def _is_late(self, load: int) -> None:
        """What was told more than a breath after the end of a hold is no doubt on it, but for what no gauge shows."""
        for each in self.doubts:
            if load in each.open and each.family != "fault" and each.t - self._ended(load) > BREATH_S:
                self._put(replace(each, open=each.open - {load}))

    def _ended(self, load: int) -> float:
        """When the time of a hold was up, by the clock: it may be told long after."""
        started = self.beliefs[load].started
        return self.t if started is None else started + 60 * self._called(load).minutes

    def _at_zero(self, load: int) -> None:
        b = self.beliefs[load]
        zeros, since = b.zeros + 1, self.t - (b.off_t or b.done_t or 0.0)
        if b.zero_t is None and (since >= self._called(load).cools_s - 1.0 or zeros > 1):
            self._believe(load, zero_t=self.t, zeros=zeros)
        else:
            self._believe(load, zeros=zeros)

    def _may_open(self, load: int) -> bool:
        b = self.beliefs[load]
        return b.zero_t is not None and self.t - b.zero_t >= SETTLE_S - 1.0

    def _is_open(self, load: int) -> bool:
        """Tell whether a canner may be open, or is: its lid was told off after its zero, however soon."""
        return self._may_open(load) or self.beliefs[load].bare

    def _begin(self, t: float, said: Said | None) -> Said:
        self.t, self.said = t, said
        self.before, self.doubts_before, self.known = dict(self.beliefs), self.doubts, self.counter
        self.asked_before, self.waiting_before = self.asked, self.waiting
        self.ready = self.open_asked = self.rising = frozenset()
        self.answered, self.scratching, self.sure, self.expects_words = "", False, False, False
        return said or Said("", called=False)

    def holds(self) -> frozenset[int]:
        """Return the loads whose hold counts, by what was said."""
        return frozenset(load for load, b in self.beliefs.items() if b.at == "hold")

    def unsettled(self) -> frozenset[object]:
        """Return what could still be said wrongly if nobody said anything more: doubts of loads that weren't blamed."""
        return frozenset((x.family, x.cause, x.open) for x in self.doubts if x.open - self.blamed)

    def key(self, at: Callable[[float], float]) -> object:
        """Return all that it will go on from. `at` makes a time comparable."""
        doubts = tuple((x.family, x.open, x.aside, x.cause, x.marks, at(x.t)) for x in self.doubts)
        beliefs = tuple(
            tuple(at(v) if isinstance(v, float) and v > 1e8 else v for v in (getattr(b, n) for n in b.__slots__))
            for b in self.beliefs.values()
        )
        asked = self.asked and (self.asked.kind, self.asked.loads, at(self.asked.until))
        focus = self.focus and (self.focus[0], at(self.focus[1]))
        well = self.well and (self.well[0], at(self.well[1]))
        told_off = self.told_off and (self.told_off[0], at(self.told_off[1]))
        taken = tuple((x.kind, x.load, at(x.t), x.sure) for x in self.taken)
        return (
            beliefs,
            doubts,
            asked,
            focus,
            well,
            told_off,
            taken,
            self.misses,
            self.aired,
            self.asleep,
            self.waiting and self.waiting.rest,
        )


def hazard(doubt: Doubt) -> str:
    """Name the hazard by what became of a doubt."""
    marks = set(doubt.marks)
    if "not understood" in marks:
        return "everyday words"
    if "denied" in marks:
        return "denied"
    if doubt.family == "gap" or "cut" in marks:
        return "a cut"
    if doubt.family in ("scratch", "taken back") or marks & {"taken back", "taken back at the end"}:
        return "taken back"
    if "after the end" in marks:
        return "after the end"
    if doubt.family == "misses":
        return "twice not understood"
    return "a low number" if doubt.family == "low number" else "not held"
