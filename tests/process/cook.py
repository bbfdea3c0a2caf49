"""A cook for the tests of the engine: reports, waits, take-backs and power cuts, as the dialogue allows.

Shared by the readable tests, the stateful test and `scripts/fuzz_engine`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from kitchenvoice.process import RECORDED_FACTS, Event, Fact, Kitchen, Load, Objection, apply, fold, next_due, object_to
from kitchenvoice.process.validate import validate

DIAL = {"method": "pressure", "gauge": "dial", "psi": 11.0, "target_psi": 11.0, "minutes": 25.0}
WEIGHTED = {"method": "pressure", "gauge": "weighted", "psi": 10.0, "target_psi": 10.0, "minutes": 20.0}
BATH = {"method": "boiling-water", "gauge": None, "psi": None, "target_psi": None, "minutes": 35.0}
SHORT_BATH = {**BATH, "minutes": 5.0, "acid": "one tablespoon of lemon juice"}
"""Green beans, quarts up to 2,000 feet and pints up to 1,000 feet (guide 4:9); crushed tomatoes, pints up to 1,000 feet
(guide 3:8). The last is no published process: less than ten minutes, and acid, for the engine alone."""
CLOCK = frozenset({"timer_due", "call_again", "session_start", "scratched"})
START_T = 1_783_000_000.0


class Cook:
    """One kitchen with its history. `facts` holds what came of the last call."""

    def __init__(self, t: float = START_T) -> None:
        self.t = t
        self.history: list[Event] = []
        self.kitchen = Kitchen()
        self.facts: list[Fact] = []
        self.said: list[tuple[float, Fact]] = []
        self.next_load = 1

    # ------------------------------------------------------------ what the dialogue does

    def record(self, kind: str, load: int | None = None, /, **data: Any) -> list[Fact]:
        event = self._append(kind, load, data)
        self.kitchen, facts = apply(self.kitchen, validate(event))
        for fact in facts:
            if fact.kind in RECORDED_FACTS and fact.kind != kind:
                self._append(fact.kind, fact.load, {**fact.data, "of": event.seq})
        self.said += [(self.t, fact) for fact in facts]
        self.facts = list(facts)
        return self.facts

    def _append(self, kind: str, load: int | None, data: dict[str, Any]) -> Event:
        event = Event(seq=len(self.history) + 1, t=self.t, kind=kind, load=load, data=data)
        self.history.append(event)
        return event

    def report(self, kind: str, load: int = 1, /, *, yes: bool = False, **data: Any) -> Objection | None:
        """Report something; an objection is returned, and overruled only with `yes` and only if it can be."""
        self.run_clock()
        self.facts = []
        held = self.kitchen.load(load)
        assert held is not None
        objection = object_to(self.kitchen, held, kind, data, self.t)
        if objection is None or (yes and objection.override):
            self.record(kind, load, **data, **({} if objection is None else {"asked": objection.kind}))
        return objection

    def start(self, process: dict[str, Any] = DIAL, *, jars: int = 7, canner: int = 1, **more: Any) -> int:
        """Start a load; return its number."""
        load, self.next_load = self.next_load, self.next_load + 1
        numbers = {each.number for each in self.kitchen.open_loads}
        named = {"food": "snap_beans", "food_name": "green beans", "pack": "raw", "jar": "quart", "altitude_ft": 800}
        given = {**named, "salt_tsp": 1.0, "headspace": "one inch", "source": ("table",), **process, **more}
        number = next(n for n in range(1, 100) if n not in numbers)
        self.record("load_start", load, number=number, count=jars, canner=canner, canner_name="", **given)
        return load

    def wait(self, seconds: float) -> None:
        self.t += seconds
        self.run_clock()

    def run_clock(self) -> None:
        now = self.t
        for _ in range(10_000):
            coming = next_due(self.kitchen)
            if coming is None or coming.t > now:
                break
            self.t = max(self.kitchen.t, coming.t)
            self.record(coming.kind, coming.load, **coming.data)
        else:
            raise AssertionError("the clock brings the same thing again and again")
        self.t = now

    def scratch(self, depth: int = 1) -> Event | None:
        """Take back the last report that still stands, `depth` times."""
        event = None
        for _ in range(depth):
            gone = {each.data["seq"] for each in self.history if each.kind == "scratched"}
            own = (x for x in reversed(self.history) if x.kind not in CLOCK and "of" not in x.data)
            own = (x for x in own if x.data.get("by") != "silence")
            event = next((x for x in own if x.seq not in gone), None)
            if event is None:
                return None
            self._append("scratched", event.load, {"seq": event.seq, "kind": event.kind})
            self.kitchen = fold(self.history)
        return event

    def scratch_event(self, seq: int) -> None:
        """Take back one report from the middle, as a `no` to a question about it does."""
        self._append("scratched", None, {"seq": seq})
        self.kitchen = fold(self.history)

    def power_cut(self, off_s: float) -> None:
        """Be off for so long; then everything is known from the history only."""
        self.t += off_s
        self.kitchen = fold(self.history)
        self.record("session_start", off_s=off_s)
        self.run_clock()

    # ------------------------------------------------------------ shortcuts to a stage

    def load(self, number: int = 1) -> Load:
        load = self.kitchen.load(number)
        assert load is not None
        return load

    def kinds(self) -> list[str]:
        return [fact.kind for fact in self.facts]

    def heard(self, kind: str) -> list[Fact]:
        """Every fact of that kind so far."""
        return [fact for _, fact in self.said if fact.kind == kind]

    def calls(self) -> set[str]:
        return {call.key for call in self.kitchen.calls}

    def to_canner(self, load: int = 1) -> None:
        if self.load(load).process.acid:
            assert self.report("jars_in", load, yes=True).kind == "acid_unconfirmed"
        else:
            assert self.report("jars_in", load) is None

    def to_vent(self, load: int = 1) -> None:
        self.to_canner(load)
        assert self.report("lid_locked", load) is None
        assert self.report("steam_steady", load) is None

    def to_come_up(self, load: int = 1) -> None:
        if self.load(load).process.is_pressure:
            self.to_vent(load)
            self.wait(600)
            assert self.report("weight_on", load) is None
        else:
            self.to_canner(load)
            in_water = self.load(load).process.watched == "bath"
            asked = self.report("heat_on", load, yes=True)
            assert (asked is not None and asked.kind) == (in_water and "water_unconfirmed")

    def to_hold(self, load: int = 1) -> None:
        self.to_come_up(load)
        self.wait(240)
        assert self.report(*self.at_target(load)[:1], load, **self.at_target(load)[1]) is None

    def at_target(self, load: int = 1) -> tuple[str, dict[str, Any]]:
        """The report that starts this load's hold."""
        process = self.load(load).process
        if process.is_dial:
            return "pressure_is", {"pressure": process.target_psi}
        return ("weight_rocking" if process.is_pressure else "boiling"), {}

    def to_off(self, load: int = 1) -> None:
        self.to_hold(load)
        self.wait(60 * self.load(load).process.minutes)

    def to_cool(self, load: int = 1) -> None:
        self.to_off(load)
        assert self.report("heat_off", load) is None
        if self.load(load).process.is_pressure:
            self.wait(900)

    def to_unload(self, load: int = 1) -> None:
        self.to_cool(load)
        if self.load(load).process.is_pressure:
            self.wait(2400)
            assert self.report("gauge_zero", load) is None
            self.wait(600)
            assert self.report("lid_off", load) is None
        else:
            assert self.report("lid_off", load) is None
            self.wait(300)

    def to_rest(self, load: int = 1) -> None:
        self.to_unload(load)
        assert self.report("jars_out", load) is None

    def to_count(self, load: int = 1) -> None:
        self.to_rest(load)
        self.wait(12 * 3600)


def same(one: Kitchen, other: Kitchen) -> bool:
    """Tell whether two kitchens are the same apart from the time and the numbers that were used up."""
    level = {"t": 0.0, "seq": 0, "last_load": 0}
    return replace(one, **level) == replace(other, **level)
