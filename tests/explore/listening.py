"""What the cook says, taken on the side of doubt: what may be lost by it, what it settles, what it lets begin."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from beliefs import BREATH_S, SETTLE_S, UNDER, VENT_S, WITHOUT_PRESSURE, Asked, Beliefs
from sentences import Said, read

__all__ = ["Listening"]

_COVER_OFF = frozenset({"lid is off", "the lid is off", "i removed the lid"})
_ASIDES = ("how ", "got it")
JUST_S = 15.0
"""For so long a no denies what was said last."""


@dataclass(slots=True)
class Listening(Beliefs):
    """Beliefs, and how they change by what the cook says."""

    def hear(self, text: str, t: float) -> None:
        """Take what the cook says."""
        said = self._begin(t, read(text, self.call, tuple(name for load in self.loads for name in load.names)))
        waits = self.asked is not None and t <= self.asked.until
        answers = waits and said.word in ("yes", "no") and self.invites and self.asked.kind != "wrong"
        self.expects_words = (said.called or answers) and not self.asleep
        newer = self.asked is None or self.asked.kind in ("gauge", "state", "wrong", "other")  # to others it is late
        if not waits and said.word == "no" and not self.asleep and newer:
            self._denied(said)
        if said.called and said.word != "no" and not said.rest.startswith(_ASIDES):
            self.well = None  # a no after it is to that
        if not said.called and not waits:
            return
        if said.word in ("sleep", "wake"):
            self.asleep, self.asked = said.word == "sleep", None
        elif not self._answer(said, waits=waits) and not (self.asleep and not said.called):
            self._report(said)

    def _answer(self, said: Said, *, waits: bool) -> bool:
        """Take a yes, a no, a name or a number as the answer to what was asked last; tell whether it was one."""
        asked = self.asked
        if asked is None or not (waits or said.called):
            return False
        if not waits and said.word == "no" and asked.kind in ("gauge", "state"):
            return False  # it denies something newer
        if asked.kind == "which" and said.names and (not said.rest or self._same_report(said)):
            if asked.loads <= self._named(said):
                return False  # a name of them all tells none of them
            self._name(self._named(said))
        elif waits and asked.kind == "gauge" and said.psi is not None and not said.names and len(asked.loads) == 1:
            self._reading(replace(said, names=()), asked.loads)
        elif said.word in ("yes", "no") and asked.kind not in ("which", "gauge"):
            self._yes_or_no(said.word, asked)
        elif waits and asked.kind in ("gauge", "state") and (said.hedge or said.word == "no"):
            self._unsure(asked.loads, said)
        elif (
            said.word == "both" and asked.kind == "which" and self.waiting and (self.waiting.zero or self.waiting.down)
        ):
            for load in asked.loads:
                self._at_zero(load)
        elif said.word == "no" and asked.kind == "which":
            self._mark("no to all", asked.loads)
        elif said.steam == "steady" and asked.kind == "steam":
            self._held(asked.loads, "steam")
            return False  # it may begin a vent as well
        else:
            return False
        self.asked = None
        return True

    def _waits_for_zero(self) -> bool:
        return self.waiting is not None and (self.waiting.zero or self.waiting.down)

    def _denied(self, said: Said) -> None:
        """A no to nothing that was asked: it denies what was last said of a load, and what counts is in doubt."""
        last = self.taken[-1] if self.taken else None
        if last is not None and last.kind in ("weight_on", "steam_steady") and self.t - last.t <= JUST_S:
            return  # that is denied, and nothing that counts
        loads, since = self.well or (frozenset(), 0.0)
        just = loads if self.t - since <= JUST_S else frozenset()
        told = frozenset({last.load}) if last is not None and self.t - last.t <= JUST_S else frozenset()
        if said.called or just:
            self._unsure(just or told or self.holds(), said)
        for load in just:
            self._believe(load, zero_t=None)
        self.well = None

    def _unsure(self, loads: Iterable[int], said: Said) -> None:
        for load in sorted(frozenset(loads) & self.holds()):
            self._new("misses", frozenset({load}), said.rest)

    def _yes_or_no(self, word: str, asked: Asked) -> None:
        self.answered = f"{asked.kind} {word}"
        held = asked.yes == "held" if word == "yes" else asked.yes == "lost"
        if asked.kind == "heat" and not held:
            self.sure = True
            for load in asked.loads:
                self._heat_is_off(load)
        elif asked.kind == "heat":
            self._held(asked.loads, "heat")
        elif asked.kind == "fine" and word == "yes":
            self._held(asked.loads, "fault", found=True)
        elif asked.kind == "retake":
            in_doubt = (each.open for each in self.doubts if each.family == "scratch")
            self.well = (frozenset().union(*in_doubt), self.t)  # a no after it is to this answer
            self.doubts = tuple(each for each in self.doubts if each.family != "scratch")
        elif asked.kind == "all" and held:
            self._held(
                asked.loads,
                "taken back",
                "scratch",
                "misses",
                "heat",
                "pressure",
                "weight",
                "boil",
                "steam",
                found=True,
            )
        elif asked.kind == "steady" and held:
            self._held(asked.loads, "gap", "taken back", "boil", "steam")
        elif asked.kind == "below" and held:
            self._held(asked.loads, "pressure", "low number", "weight", "boil", "fault", found=True)
        elif asked.kind in ("steady", "below", "all"):
            self._drop(each for each in asked.loads if self.beliefs[each].at in ("hold", "done"))
        elif asked.kind == "shut" and not held:
            for load in asked.loads:
                self._believe(load, spoilt=True)
        elif asked.kind == "state":
            (self._held_by_report if held else self._lose_all)(asked.loads)
        elif asked.kind == "steam" and held:
            self._held(asked.loads, "steam", "gap")
        elif word == "yes" and self.waiting is not None and "altitude" in self.waiting.rest:
            for load, b in self.beliefs.items():
                self._believe(load, corrected=b.at != "out")
        elif asked.kind == "acid" and word == "yes":
            self._acid_is_in(asked.loads)
            if self.waiting is not None and self.waiting.good:
                self._is_well(asked.loads)  # the boil that was asked back about it
        elif asked.kind == "behind" and word == "yes" and self.early:
            self._is_well(asked.loads)
        elif asked.kind == "gone" and held:
            for load in asked.loads:
                self._believe(load, zero_t=self.t - SETTLE_S)  # the lid is off by now
        elif asked.kind == "stuck" and held:
            self._held(asked.loads, "stuck")
        elif asked.kind == "stuck":
            for load in asked.loads:
                self._believe(load, spoilt=True)
        elif asked.kind == "mended" and held:
            self._is_put_right(asked.loads)
            if self.waiting is not None and self.waiting.good:
                self._is_well(asked.loads)  # what was reported before it waits for the yes
        elif asked.kind == "soon" and held:
            for load in asked.loads:
                self._believe(load, zeros=max(1, self.beliefs[load].zeros))  # it was told before, of whichever
                self._at_zero(load)

    def _same_report(self, said: Said) -> bool:
        """Tell whether a sentence that names a load repeats what "which load?" was asked about."""
        alike = self.waiting is not None and _family(said) == _family(self.waiting)
        open_still = bool(said.loss) and any(x.family == _family(said) and len(x.open) > 1 for x in self.doubts)
        return open_still or (alike and self._is_good(said) == self._is_good(self.waiting))

    def _is_good(self, said: Said | None) -> bool:
        """Tell whether a report says that a hold can begin."""
        return said is not None and bool(
            said.good or any(said.psi is not None and said.psi >= load.psi > 0 for load in self.loads)
        )

    def _name(self, named: frozenset[int]) -> None:
        """Take the answer to "which load?"."""
        was, asked = self.waiting, self.asked
        by_weight = was is not None and was.psi is not None and "dial" not in {self._called(x).gauge for x in named}
        for each in self.doubts:
            if each.family not in ("heat", "pressure", "weight", "boil", "steam", "fault", "low number"):
                continue
            number = by_weight and each.family == "pressure"
            told = replace(each, family="low number") if number else each  # its weight tells more than a number
            if each.open & named:
                self._put(replace(told, open=each.open & named, aside=each.aside | (each.open - named)))
            elif asked is not None and named <= asked.loads and each.open <= asked.loads - named:
                self._put(replace(each, open=frozenset()))  # it was of a load that has nothing to lose
        if was is None or len(named) != 1:
            return
        (load,) = named
        for other in self.aired - named:
            self._believe(other, air=False)  # it was of the one that is named
        if was.good or was.psi:
            self.ready = named
        if was.fault:
            self._has_fault(load, was)
            if self.beliefs[load].at != "hold":
                self._close(load, "fault")  # it stands by now
        if (was.zero or was.down) and self.beliefs[load].at in ("cool", "done", "lost"):
            self._at_zero(load)

    def _report(self, said: Said) -> None:
        if said.word in ("scratch", "cancel"):
            self.scratching, self.asked = True, None
            return
        if said.names and not said.rest:
            named = self._named(said)
            self.focus = (*named, self.t) if len(named) == 1 else self.focus
            return
        if said.word not in ("yes", "no", "both") and not said.rest.startswith(_ASIDES):
            self.waiting, self.aired = said, frozenset()
        if self.asked is not None and self.asked.kind == "acid" and said.rest in ("done", "clear", "checked"):
            self._acid_is_in(self.asked.loads)
        if said.of_stove and self.asked is not None and self.asked.kind in ("gauge", "state", "other"):
            named = self._named(said)
            self.asked = self.asked if named and not named & self.asked.loads else None
        if said.opening:
            self.open_asked = frozenset(x for x in self._of(said, UNDER, pressure=True) if not self._is_open(x))
        if said.opening and said.rest in _COVER_OFF:
            self._doubt("boil", self._of(said, ("hold",), gauge="steam"), said)
        self.early = self.early and not said.of_stove
        if said.not_zero or said.beside:
            for load in self._of(said, ("cool",), pressure=True):
                if not self.beliefs[load].bare:  # there is no pressure left to tell of
                    self._believe(load, zero_t=None, zeros=0)
        if said.heat_on:
            self._heat_is_on(said)
        if said.fault:
            self._fault(said)
        elif said.zero or said.down:
            self._zero(said)
        elif said.psi is not None:
            self._reading(said, frozenset())
        elif said.loss == "heat":
            self._doubt("heat", self._awaited(said) or self._of(said, ("in", "vent", *UNDER[:-1])), said)
        elif said.loss == "weight":
            self._doubt("weight", self._of(said, ("hold", "done"), gauge="weighted"), said)
        elif said.loss == "boil":
            boils = (self._of(said, ("hold", "done"), gauge=gauge) for gauge in WITHOUT_PRESSURE)
            self._doubt("boil", frozenset().union(*boils), said)
        elif said.loss:
            self._doubt("pressure", self._of(said, ("hold", "done", "cool"), pressure=True), said)
        elif said.good:
            gauge = "weighted" if said.good == "weight" else "bath"
            self._is_well(self._of(said, ("in", "up", "hold", "lost"), gauge=gauge))
            self.early = not self.ready
        elif said.steam == "steady":
            self._is_well(self._of(said, ("in", "up", "hold", "lost"), gauge="steam"))
        elif said.steam == "lost" or said.rest == "weight is on":
            if said.steam:
                self._doubt("boil", self._of(said, ("hold", "done"), gauge="steam"), said)
            over = 0.0 if said.steam else VENT_S - 1.0
            venting = self._of(said, ("vent",))
            early = {x for x in venting if not over or self.t - (self.beliefs[x].steam_t or self.t) < over}
            self._new("steam", venting if len(early) == len(venting) else frozenset(), said.rest)
            self.doubts = tuple(each for each in self.doubts if each.open)

    def _awaited(self, said: Said) -> frozenset[int]:
        """Return the load whose heat was just to be turned off, if no other one is named."""
        load, since = self.told_off or (0, 0.0)
        awaited = not said.names and self.t - since <= BREATH_S and self.beliefs[load].at == "done"
        return frozenset({load}) if awaited else frozenset()

    def _is_put_right(self, loads: Iterable[int]) -> None:
        """What went wrong is put right; air that it let in leaves a canner without pressure with its first boil."""
        for load in loads:
            bath = self._called(load).gauge in WITHOUT_PRESSURE
            self._believe(load, broken=False, air=self.beliefs[load].air and not bath)

    def _acid_is_in(self, loads: Iterable[int]) -> None:
        for load in loads:
            self._believe(load, acid=True)

    def _fault(self, said: Said) -> None:
        """Take what no gauge shows. Before the end of a hold it starts over by it, after it the jars aren't for the
        shelf."""
        loads = self._of(said, ("vent", *UNDER, "out", "in"), pressure=said.fault != "acid")
        loads = frozenset(x for x in loads if said.fault != "acid" or self._called(x).acid)
        ended = len(loads) > 1 and any(self.beliefs[x].at in ("done", "cool", "out") for x in loads)
        if (loads & self.holds() or ended) and said.fault != "numbers":
            self._new("fault", loads, said.rest)
        if len(loads) == 1:
            self._has_fault(*loads, said)

    def _has_fault(self, load: int, said: Said) -> None:
        at = self.beliefs[load].at
        if said.fault == "numbers":
            self._believe(load, spoilt=True)
        elif said.fault == "acid":
            self._believe(load, acid=False)
        else:
            amiss = at not in ("in", "vent")
            self._believe(load, air=amiss, broken=amiss, stuck=said.fault == "gauge")
        if at in ("done", "cool", "out") and said.fault == "gauge":
            self._believe(load, air=False, broken=False)
            self._new("stuck", frozenset({load}), said.rest)
        elif at in ("done", "cool", "out"):
            self._believe(load, spoilt=True)

    def _zero(self, said: Said) -> None:
        """Take a zero. It is of a canner that can be there; only said to be down, it may be a hold that is lost too."""
        loads = frozenset(
            x for x in self._of(said, ("cool", "done", "lost"), pressure=True) if self._can_be_down(x, said)
        )
        holding = self._of(said, ("hold",), pressure=True)
        dials = holding if said.down else self._of(said, ("hold",), gauge="dial")
        lost_only = not any(self.beliefs[x].at in ("cool", "done") for x in loads)
        if said.down or lost_only:
            loads |= dials or (holding if said.down or not loads else frozenset())
            self._doubt("pressure", loads, said)
        if len(loads) == 1:
            (load,) = loads
            if self.beliefs[load].at in ("cool", "done"):
                long = self.t - (self.beliefs[load].off_t or self.t) >= self._called(load).cools_s
                if said.lock or long or not self.beliefs[load].stuck:
                    self._at_zero(load)
                self.well = (loads, self.t)
            elif self.beliefs[load].at in ("hold", "lost") and said.zero:
                self.aired = frozenset() if self.beliefs[load].air else loads
                self._believe(load, air=True)

    def _can_be_down(self, load: int, said: Said) -> bool:
        """Tell whether a canner can be at zero, or only low as well if no more was said: a lost one needs its heat off,
        one whose heat nobody reported off needs time."""
        b = self.beliefs[load]
        if b.at == "done" and self.t - (b.done_t or 0.0) < self._called(load).cools_s - 1.0:
            return not self._of(said, ("cool",), pressure=True)
        cooling = self._of(said, ("cool",), pressure=True)
        return b.at != "lost" or b.cold or said.down or bool(said.names) or not cooling

    def _reading(self, said: Said, asked: frozenset[int]) -> None:
        loads = asked or self._of(said, ("up", "hold", "lost", "done", "cool"), pressure=True)
        dials = frozenset(x for x in loads if self._called(x).gauge == "dial")
        psi = said.psi or 0.0
        low = frozenset(x for x in loads if psi < self._called(x).psi or (said.below and psi <= self._called(x).psi))
        cooling = [x for x in loads if self.beliefs[x].at == "cool" and not self.beliefs[x].bare]
        if low:
            family = "pressure" if dials else "low number"
            self._doubt(family, frozenset(low), said)
        if dials and not low:
            well = frozenset(x for x in dials if self.beliefs[x].at in ("up", "hold", "lost"))
            self._is_well(well, among=frozenset(x for x in loads if x in dials or not self.beliefs[x].air))
        for load in cooling:
            was = self.beliefs[load].psi
            self.rising |= {load} if len(loads) == 1 and was is not None and psi > was + 0.5 else frozenset()
            self._believe(load, zero_t=None, zeros=0)
        for load in loads if len(loads) == 1 else ():
            air = psi == 0 and self.beliefs[load].at in ("hold", "lost")
            self._believe(load, psi=psi, air=self.beliefs[load].air or air)

    def _doubt(self, family: str, loads: frozenset[int], said: Said) -> None:
        """Open a doubt on all loads that a report may be of, if a hold can have been lost by it, or can start cold."""
        ended = {x for x in loads if self.beliefs[x].at == "done"}
        late = {x for x in ended if family != "heat" and self.t - self._ended(x) <= BREATH_S}
        loads = loads if family == "heat" else frozenset(x for x in loads if x not in ended or x in late)
        cold = family == "heat" and len(loads) > 1 and any(self.beliefs[x].at in ("up", "lost") for x in loads)
        if not any(self.beliefs[x].at == "hold" for x in loads) and not late and not cold:
            return
        same = [x for x in self.doubts if x.family == family and x.open == loads]
        if not same:
            marks = ("after the end",) if late else ()
            self._new(family, loads, "what was said while it slept" if self.asleep else said.rest, marks)

    def _is_well(self, loads: frozenset[int], among: frozenset[int] = frozenset()) -> None:
        """A report that the hold holds, or can begin, of one of several."""
        self.ready = loads | among
        if len(self.ready) == 1:
            self._held_by_report(loads)

    def _held_by_report(self, loads: Iterable[int]) -> None:
        self._held(loads, "misses")
        self._held(loads, "low number", found=True)
        self.well = (frozenset(loads), self.t)

    def _heat_is_on(self, said: Said) -> None:
        """Heat that is lit again was off meanwhile: no doubt about it is settled as held. It is on from now."""
        loads = self._of(said, ("in", "vent", "up", "hold", "lost"))
        for load in loads if len(loads) == 1 or said.names else (x for x in loads if self.beliefs[x].at != "hold"):
            self._believe(load, cold=False)
            if self.beliefs[load].at != "hold" and (len(loads) == 1 or said.names):
                self._close(load, "heat")  # a hold that starts from now has its heat

    def _heat_is_off(self, load: int) -> None:
        if self.beliefs[load].at == "done":
            self._believe(load, off_t=self.t)
            self._close(load, "heat")
            if self.waiting is not None and (self.waiting.zero or self.waiting.down):
                self._at_zero(load)
        else:
            self._lose(load)
            self._believe(load, cold=True)

    def _drop(self, loads: Iterable[int]) -> None:
        for load in loads:
            self._lose(load)

    def _lose_all(self, loads: Iterable[int]) -> None:
        self.sure = True
        self._drop(loads)


def _family(said: Said) -> str:
    return (
        "heat" if said.loss == "heat" else "pressure" if said.loss or said.psi is not None or said.down else said.rest
    )
