"""Days that nobody planned: sensible reports, senseless ones, waits, gaps and changes of mind, all left to chance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol, TypeVar

from cook import BATH, DIAL, SHORT_BATH, WEIGHTED, Cook, same
from watch import Watch

from kitchenvoice.process import Load, Stage, step_of
from kitchenvoice.process.doubts import DOUBT_KINDS
from kitchenvoice.process.faults import FAULT_KINDS
from kitchenvoice.process.objections import REOPENS, REPORT_STAGES

T = TypeVar("T")
Report = tuple[str, dict[str, Any]]
REPORTS = sorted(REPORT_STAGES)
PROCESSES = [DIAL, {**DIAL, "target_psi": 12.5}, WEIGHTED, BATH, SHORT_BATH]
WAITS = (0.0, 0.5, 1.0, 59.0, 60.0, 61.0, 120.0, 299.0, 300.0, 599.0, 600.0, 601.0, 1500.0, 3600.0, 43_200.0, 86_400.0)
ANSWERS = ("word", "yes", "no", "withdrawn", "named")
MOST_LOADS, MOST_COUNTED = 4, 99


class Chance(Protocol):
    """Where choices come from: `random.Random` or hypothesis."""

    def choice(self, options: Sequence[T], /) -> T: ...


class RandomDay:
    """One kitchen in which anything may be said."""

    def __init__(self, chance: Chance, most_loads: int = MOST_LOADS) -> None:
        self.cook = Cook()
        self.chance = chance
        self.most_loads = most_loads

    def step(self) -> None:
        """Do one thing."""
        loads = self.cook.kitchen.open_loads
        if len(loads) < self.most_loads and self._one_in(12 if loads else 1):
            self.start()
        else:
            doing = ["onward"] * 6 + ["sensible"] * 14 + ["any"] * 3 + ["wait"] * 3 + ["call"] * 2
            doing += ["scratch", "gap", "timer", "undo", "doubt", "doubt", "settle", "settle", "closed"]
            doing += ["give_up"] if self._one_in(6) else []
            getattr(self, self.chance.choice(doing))()

    def _one_in(self, n: int) -> bool:
        return self.chance.choice(range(n)) == 0

    def _load(self) -> Load | None:
        loads = self.cook.kitchen.open_loads
        return self.chance.choice(loads) if loads else None

    # ------------------------------------------------------------ what can happen

    def start(self) -> None:
        pick = self.chance.choice
        self.cook.start(pick(PROCESSES), jars=pick((1, 3, 7)), canner=pick((0, 1, 2, 3)))

    def sensible(self) -> None:
        """Say what a cook would say there: half of the time what leads on."""
        load = self._load()
        if load is not None:
            self._say(load, *self.chance.choice(_fitting(load)))

    def onward(self) -> None:
        """Let one load go on for some steps as it should."""
        load = self._load()
        for _ in range(self.chance.choice((1, 2, 4, 8)) if load is not None else 0):
            load = self.cook.load(load.id)  # type: ignore[union-attr]
            step, ends = step_of(load), [timer.due_t for timer in load.timers if timer.name != "window"]
            if ends:
                self.cook.wait(max(0.0, min(ends) - self.cook.t))
            elif step is not None:
                self._say(load, *_fitting(load)[0])

    def any(self) -> None:
        """Say anything at all about any load, closed ones too."""
        loads = self.cook.kitchen.loads
        if loads:
            self._say(self.chance.choice(loads), *self._anything(self.chance.choice(REPORTS)))

    def _say(self, load: Load, kind: str, data: dict[str, Any]) -> None:
        self.cook.report(kind, load.id, yes=self._one_in(3), **data)

    def wait(self) -> None:
        """Wait for some time, or just until a timer ends."""
        ends = [timer.due_t for load in self.cook.kitchen.open_loads for timer in load.timers if timer.name != "window"]
        if ends and self._one_in(2):
            self.cook.wait(max(0.0, self.chance.choice(sorted(ends)) - self.cook.t))
        else:
            self.cook.wait(self.chance.choice(WAITS))

    def call(self) -> None:
        if self.cook.kitchen.calls and self._one_in(2):
            self.cook.record("answer_call", keys=tuple(call.key for call in self.cook.kitchen.calls))
        self.cook.wait(60.0)

    def scratch(self) -> None:
        depth = self.chance.choice((1, 1, 2, 5, 0))
        if depth:
            self.cook.scratch(depth)
        elif self.cook.history:
            event = self.chance.choice(self.cook.history)
            if event.kind not in ("scratched", "session_start", "load_start"):
                self.cook.scratch_event(event.seq)

    def gap(self) -> None:
        self.cook.power_cut(self.chance.choice((0.0, 2.0, 90.0, 700.0, 7200.0)))
        if self._one_in(2):
            for load in self.cook.kitchen.open_loads:
                self.cook.report("was_steady", load.id, ok=self._one_in(2))

    def doubt(self) -> None:
        """Say something that may be of one or several loads, or isn't understood."""
        pick = self.chance.choice
        self.cook.run_clock()
        loads = [load for load in self.cook.kitchen.open_loads if not self._one_in(3)]
        kind = pick(sorted(DOUBT_KINDS - {"gap"}))
        more: dict[str, Any] = {"pressure": pick((0.0, 5.0))} if kind in ("pressure_low", "low_number") else {}
        if kind in ("late", "in_question"):
            more = pick(({}, {"air": True}))
        if kind.startswith("of_") or kind in ("unexplained", "in_question"):
            more |= {"words": "the cat sat", "kept": self._one_in(2)}
        if kind == "kept" and self._one_in(2):  # before a weight, or a pressure that comes up, counts
            more = {"early": True}
            loads = [each for each in loads if each.process.is_pressure and each.stage in (Stage.VENT, Stage.COME_UP)]
            loads = [each for each in loads if each.claims or each.stage is Stage.COME_UP]
        self.cook.record("doubt", None, loads=tuple(load.id for load in loads), kind=kind, **more)

    def settle(self) -> None:
        """Answer a doubt, for some of its loads."""
        self.cook.run_clock()
        for doubt in self.cook.kitchen.doubts:
            loads, by = [load.id for load in self.cook.kitchen.in_doubt(doubt.id)], self.chance.choice(ANSWERS)
            held = tuple(each for each in loads if self._one_in(2))
            lost = tuple(each for each in loads if each not in held and self._one_in(2))
            self.cook.record("doubt_settled", None, doubt=doubt.id, held=held, lost=lost, by=by)

    def closed(self) -> None:
        """Tell something of a load that is closed, and count it again if that opens it."""
        loads = [load for load in self.cook.kitchen.loads if load.stage is Stage.CLOSED]
        if loads:
            load = self.chance.choice(loads)
            self._say(load, *self._anything(self.chance.choice(sorted(REOPENS))))
            self._say(load, *self.chance.choice(_fitting(self.cook.load(load.id))))

    def give_up(self) -> None:
        """Give a load up, at the stove or from the list of loads."""
        load = self._load()
        if load is not None:
            self.cook.run_clock()
            self.cook.record("load_given_up", load.id, **self.chance.choice(({"canner": True}, {})))

    def timer(self) -> None:
        if self.cook.kitchen.timers and self._one_in(2):
            self.cook.record("timer_stop", name=self.chance.choice((None, self.cook.kitchen.timers[-1].name)))
        else:
            name = self.chance.choice((None, None, "egg", "brine"))
            more = {} if name is None else {"name": name}
            self.cook.record("timer_start", minutes=self.chance.choice((1 / 6, 0.5, 10.0, 90.0)), **more)

    def undo(self) -> None:
        """Say something and take it back at once: nothing may be left of it."""
        load = self._load()
        if load is None:
            return
        self.cook.run_clock()
        before, said = self.cook.kitchen, len(self.cook.history)
        self._say(load, *self.chance.choice(_fitting(load)))
        if len(self.cook.history) > said:
            self.cook.scratch()
            assert same(before, self.cook.kitchen), f"something is left of {self.cook.history[said]}"

    def _anything(self, kind: str) -> Report:
        pick = self.chance.choice
        data: dict[str, Any] = {}
        if kind in ("pressure_is", "pressure_low"):
            data = {"pressure": pick((0.0, 4.5, 9.5, 10.0, 10.5, 11.0, 12.5, 14.0, 20.0, 25.0))}
        elif kind in ("packed", "jars_in", "jars_out", "jar_broke", "liquid_lost"):
            data = {"count": pick((1, 2, 6, 7, 99))}
        elif kind == "seal_count":
            data = {"sealed": pick((0, 1, 3, 6, 7)), "failed": pick((0, 1, 7))}
        elif kind == "tally":
            data = {pick(("sealed", "failed")): pick((1, 3))}
        elif kind == "jar_outcome":
            data = {"outcome": pick(("reprocess", "refrigerate", "freeze", "discard")), "count": pick((1, 2))}
        elif kind == "fault":
            data = {"fault": pick(sorted(FAULT_KINDS)), **pick(({}, {"jars": 2}))}
        elif kind == "fault_mended":
            data = {"fault": pick(sorted(FAULT_KINDS))}
        elif kind == "was_steady":
            data = {"ok": pick((True, False))}
        return kind, data

    def check(self) -> None:
        """Look at the whole day; raises AssertionError with what shouldn't have happened."""
        faults = Watch(self.cook.history, self.cook.kitchen).faults
        assert not faults, "\n".join(faults[:5])


_NUMBERS: list[Report] = [("fault", {"fault": "numbers"}), ("fault_mended", {"fault": "numbers"})]


def _fitting(load: Load) -> list[Report]:
    """What fits there: the report that leads on several times, the trouble that can come once each."""
    target = load.process.target_psi or 0.0
    step = step_of(load)
    on: list[Report] = []
    if step is not None and not step.done_by:
        on = [("step_done", {})]
    elif load.stage in (Stage.REST, Stage.COUNT) and load.sealed is None:
        standing = load.standing
        on = [("seal_count", {"sealed": standing - bad, "failed": bad}) for bad in range(min(3, standing + 1))]
        on = on if standing <= MOST_COUNTED else []  # nobody has such a load: its count is refused as written wrong
        on += [("tally", {"sealed": 1}), ("tally", {"failed": 1}), ("jar_broke", {"count": 1})]
    elif load.stage is Stage.COUNT:
        on = [("jar_outcome", {"outcome": each}) for each in ("freeze", "discard", "reprocess")]
    elif step is not None:
        on = [(name, {}) for name in sorted(step.done_by - {"timer", "pressure_is"})]
        if "pressure_is" in step.done_by:
            on += [("pressure_is", {"pressure": target + more}) for more in (0, 1.5)]
    troubles: dict[Stage, list[Report]] = {
        Stage.PACK: [("packed", {"count": 1}), ("packed", {"count": -1}), ("jars_in", {"count": load.planned})],
        Stage.CANNER: [("jars_in", {"count": min(MOST_COUNTED, max(1, load.standing - 1))}), ("previous_step", {})],
        Stage.VENT: [("steam_stopped", {}), ("weight_on", {}), ("heat_off", {})],
        Stage.COME_UP: [("pressure_is", {"pressure": max(0.0, target - 1)}), ("heat_off", {}), ("heat_on", {})],
        Stage.HOLD: [
            *[("pressure_is", {"pressure": max(0.0, target + more)}) for more in (-0.5, 0, 1, 4)],
            *[(name, {}) for name in ("weight_rocking", "boiling", "weight_quiet", "boil_lost", "heat_off", "heat_on")],
            *[("pressure_low", {}), ("jar_broke", {"count": 1})],
        ],
        Stage.COOL: [("pressure_is", {"pressure": 3.0}), ("pressure_is", {"pressure": 0.0}), ("lid_off", {})],
        Stage.REST: [("jars_out", {"count": max(0, load.standing - 1)}), ("liquid_lost", {"count": 1})],
        Stage.COUNT: [("jar_broke", {"count": 1}), ("load_close", {}), *_NUMBERS],
        Stage.KEEP: [("load_close", {}), ("tally", {"failed": 1}), *_NUMBERS],
    }
    return on * 4 + troubles.get(load.stage, []) or [("load_close", {})]
