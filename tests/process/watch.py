"""What must be true of any day, worked out from the history alone, beside the engine and not by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from kitchenvoice.process import Event, Kitchen, Load, Stage, apply, due, fold, loads_for
from kitchenvoice.process.objections import REPORT_STAGES

ENOUGH = 1e-6
VENT_S, SETTLE_S = 600.0, 600.0
STARTS = {
    "vent": {"steam_steady"},
    "hold": {"pressure_is", "pressure_low", "weight_rocking", "boiling"},
    "settle": {"gauge_zero", "pressure_is"},
    "bath_rest": {"lid_off"},
    "rest": {"jars_out"},
    "window": {"timer_due"},
}


@dataclass
class Seen:
    """What the reports say of one load."""

    steam_t: float | None = None
    held_t: float | None = None
    zero_t: float | None = None
    cold: bool = False
    open: dict[int, str] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)


class Watch:
    """Replay a history, and say what shouldn't have happened."""

    def __init__(self, history: Sequence[Event], reached: Kitchen) -> None:
        self.faults: list[str] = []
        self.seen: dict[int, Seen] = {}
        self.open_calls: set[str] = set()
        gone = {event.data["seq"] for event in history if event.kind == "scratched"}
        kitchen = Kitchen()
        for event in history:
            if event.seq not in gone:
                kitchen = self._step(kitchen, event)
        self._end(history, kitchen, reached)

    def _fault(self, event: Event, what: str) -> None:
        self.faults.append(f"{what} (at {event.seq}, {event.kind}, load {event.load}, t {event.t})")

    def _step(self, before: Kitchen, event: Event) -> Kitchen:
        after, _ = apply(before, event)
        was, now = before.load(event.load), after.load(event.load)
        if was is not None and now is not None:
            self._reports(was, now, event)
            self._transitions(was, now, event)
        self._doubts(before, after, event)
        for load in after.loads:
            self._load(load, event)
        self._calls(before, after, event)
        for timer in after.timers:
            old = [x for x in before.timers if x.name == timer.name]
            if (not old or old[0].started_t != timer.started_t) and event.kind != "timer_start":
                self._fault(event, f"kitchen timer {timer.name} started without being asked for")
        return after

    # ------------------------------------------------------------ the reports, read without the engine

    def _reports(self, was: Load, now: Load, event: Event) -> None:
        seen = self.seen.setdefault(was.id, Seen())
        stage, kind, process = was.stage, event.kind, was.process
        if kind == "heat_on" or (kind == "steam_steady" and stage in (Stage.CANNER, Stage.VENT)):
            seen.cold = False
        elif kind == "heat_off" and stage in (Stage.VENT, Stage.COME_UP, Stage.HOLD) and was.processed_t is None:
            seen.cold = True
            seen.steam_t = seen.held_t = None
        doubted = was.doubt and not now.doubt and not (kind == "was_steady" and event.data.get("ok") is True)
        if kind == "steam_stopped" and stage is Stage.VENT:
            seen.steam_t = None
        elif kind == "steam_steady" and stage in (Stage.CANNER, Stage.VENT) and seen.steam_t is None:
            seen.steam_t = event.t
        if stage in (Stage.CANNER, Stage.COME_UP, Stage.HOLD) and was.processed_t is None:
            if _starts(was, event) and not seen.cold and seen.held_t is None:
                seen.held_t = event.t
            elif _breaks(was, event):
                seen.held_t = None
        if doubted and kind in ("was_steady", "timer_due"):
            seen.steam_t = seen.held_t = None
        if stage is Stage.COOL and process.is_pressure:
            at_zero = kind == "gauge_zero" or (kind == "pressure_is" and event.data["pressure"] == 0)
            if at_zero and seen.zero_t is None:
                seen.zero_t = event.t
            elif kind == "pressure_is" and event.data["pressure"] > 0 and not was.lid_off:
                seen.zero_t = None

    def _transitions(self, was: Load, now: Load, event: Event) -> None:
        seen = self.seen[was.id]
        comes_up = now.stage is Stage.COME_UP and was.stage is not Stage.COME_UP and now.step not in ("mend", "stopped")
        if was.process.is_pressure and comes_up:
            vented = seen.steam_t is not None and event.t - seen.steam_t >= VENT_S - ENOUGH
            if event.kind not in ("weight_on", "pressure_is", "weight_rocking") or not vented or was.doubt:
                self._fault(event, "the weight led to come_up without a whole vent")
        if event.kind == "weight_on" and was.stage is Stage.VENT and now.stage is Stage.VENT:
            seen.steam_t = None
        if was.processed_t is None and now.processed_t is not None:
            needed = 60 * was.process.minutes
            if seen.held_t is None or now.processed_t - seen.held_t < needed - ENOUGH or event.t < now.processed_t:
                self._fault(event, "a hold is marked done that wasn't held")
        waited = seen.zero_t is not None and event.t - seen.zero_t >= SETTLE_S - ENOUGH
        if now.lid_off and not was.lid_off and was.process.is_pressure and not waited:
            self._fault(event, "the lid came off before zero and ten minutes")
        for timer in now.timers:
            old = was.timer(timer.name)
            fresh = old is None or old.started_t != timer.started_t
            if fresh and event.kind not in STARTS[timer.name]:
                self._fault(event, f"timer {timer.name} started without a report")
            if fresh and timer.name != "window" and timer.started_t != event.t:
                self._fault(event, f"timer {timer.name} didn't start when it was reported")

    # ------------------------------------------------------------ doubts, read without the engine

    def _doubts(self, before: Kitchen, after: Kitchen, event: Event) -> None:
        """Only an answer, a loss or a new start ends a doubt; nothing is called done meanwhile."""
        data = event.data
        gap = event.kind == "session_start" and (data.get("unknown") is True or data.get("off_s"))
        for load in before.open_loads:
            seen = self.seen.setdefault(load.id, Seen())
            counts = load.holding or (load.stage is Stage.VENT and (load.timer("vent") or load.vented_s))
            late = load.processed_t is not None and not load.lid_off
            late = late and 0 <= event.t - (load.processed_t or 0) <= 90
            if event.kind == "doubt" and load.id in data["loads"] and data["kind"] != "settings":
                of_the_end = data["kind"] in ("late", "pressure_low", "weight_quiet", "boil_lost")
                back = data["kind"] == "taken_back" and load.processed_t is not None and not load.lid_off
                back = back or (data["kind"] == "in_question" and load.processed_t is not None)
                fits = late if data["kind"] == "late" else counts or back or (late and of_the_end)
                if fits and data["kind"] not in seen.open.values():
                    seen.open[event.seq] = data["kind"]
            elif gap and counts:
                seen.open = {n: kind for n, kind in seen.open.items() if kind != "gap"} | {event.seq: "gap"}
            elif event.kind == "doubt_settled" and load.id in (*data.get("held", ()), *data.get("lost", ())):
                lost = load.id in data.get("lost", ()) and data["doubt"] in seen.open
                seen.cold = seen.cold or (lost and seen.open[data["doubt"]] == "heat_off")
                seen.open = {} if lost else {n: kind for n, kind in seen.open.items() if n != data["doubt"]}
                if lost:
                    seen.steam_t = seen.held_t = None
            elif event.kind == "was_steady" and load.id == event.load and data.get("ok") is True:
                seen.open = {n: kind for n, kind in seen.open.items() if kind != "gap"}
        for load in after.open_loads:
            seen = self.seen.setdefault(load.id, Seen())
            was = before.load(load.id)
            if was is not None and was.processed_t is None and load.processed_t is not None and seen.open:
                self._fault(event, "a hold is marked done while it is in doubt")
            if was is not None and was.holding and not load.holding and load.processed_t is None:
                seen.cold = seen.cold or ("heat_off" in seen.open.values() and event.kind != "heat_on")
                seen.open, seen.held_t = {}, None
            if was is not None and was.stage is Stage.VENT and (load.stage is not Stage.VENT or load.step != was.step):
                seen.open = {} if not (load.stage is Stage.VENT and load.vented_s) else seen.open
            if load.processed_t is None:
                after = ("late", "taken_back", "in_question", "pressure_low", "weight_quiet", "boil_lost")
                counts = load.holding or (load.stage is Stage.VENT and (load.timer("vent") or load.vented_s))
                seen.open = {n: kind for n, kind in seen.open.items() if counts or kind not in after}
            if {doubt.id for doubt in load.doubts} != set(seen.open):
                self._fault(event, f"doubts {load.doubts} are open, and {seen.open} were raised and not settled")

    # ------------------------------------------------------------ what holds at any time

    def _load(self, load: Load, event: Event) -> None:
        running = sum(hold.running for hold in load.holds)
        if running > 1 or (running == 1) != (load.timer("hold") is not None):
            self._fault(event, f"{running} holds running, timer {load.timer('hold')}")
        if sum(hold.done for hold in load.holds) > 1:
            self._fault(event, "two holds done on one load")
        if not 0 <= load.broken <= load.jars or load.standing < 0 or load.packed < 0:
            self._fault(event, f"broken {load.broken} of {load.jars}, standing {load.standing}")
        if load.sealed is not None and load.sealed + (load.failed or 0) != load.standing:
            self._fault(event, f"{load.sealed} sealed, {load.failed} failed, {load.standing} standing")
        if sum(load.outcomes.values()) > (load.failed if load.failed is not None else load.jars):
            self._fault(event, f"{dict(load.outcomes)} of {load.failed} failed")
        if not 0 <= sum(load.tally) <= load.standing:
            self._fault(event, f"tally {load.tally} of {load.standing}")
        late = load.processed_t is not None and not load.lid_off
        if load.doubt and not (load.holding or load.stage is Stage.VENT or late):
            self._fault(event, "doubt about nothing")

    def _calls(self, before: Kitchen, after: Kitchen, event: Event) -> None:
        """A call may go only when it is answered, its timer is stopped, or its own load moves on."""
        keys = {call.key for call in after.calls}
        if len(keys) != len(after.calls):
            self._fault(event, "a call twice")
        for call in before.calls:
            if call.key in keys or event.kind in ("answer_call", "timer_stop"):
                continue
            if event.kind == "timer_start" and call.key == f"timer_done:{event.data.get('name')}":
                continue  # set anew under its own name
            was, now = before.load(call.load), after.load(call.load)
            hers = event.load == call.load or event.kind == "doubt_settled"
            if call.load is None or not hers or was == now:
                self._fault(event, f"call {call.key} was lost")
        for load in after.open_loads:
            wanted = _wanted(load)
            was = before.load(load.id)
            recount = wanted == "rest_done" and was is not None and was.stage is Stage.COUNT
            fresh = wanted and not recount and (was is None or _wanted(was) != wanted)
            if fresh and f"{wanted}:{load.id}" not in keys:
                self._fault(event, f"{wanted} wasn't called")

    def _end(self, history: Sequence[Event], replayed: Kitchen, reached: Kitchen) -> None:
        told = ("calls", "loads", "timers", "focus")
        folded = fold(history)
        if any(getattr(folded, name) != getattr(reached, name) for name in told):
            self.faults.append("fold(events) isn't the state that was reached step by step")
        if any(getattr(replayed, name) != getattr(reached, name) for name in told):
            self.faults.append("replay without the scratched events is another state")
        closed = {load.id for load in reached.loads if load.stage is Stage.CLOSED}
        coming = due(reached)
        listed = {x.load for x in coming} | {x.load for x in reached.calls} | {x.id for x in reached.open_loads}
        listed |= {x.id for report in REPORT_STAGES for x in loads_for(reached, report)}
        if closed & listed:
            self.faults.append(f"closed loads are still listed: {closed & listed}")
        if list(coming) != sorted(coming, key=lambda each: each.t):
            self.faults.append("what is due isn't in order")


def _starts(load: Load, event: Event) -> bool:
    process, psi = load.process, event.data.get("pressure")
    if process.is_dial:
        at_target = psi is not None and psi >= (process.target_psi or 0)
        told = event.kind == "pressure_is" or (event.kind == "pressure_low" and load.stage is Stage.HOLD)
        return told and at_target
    return event.kind == ("weight_rocking" if process.is_pressure else "boiling")


def _breaks(load: Load, event: Event) -> bool:
    """Tell whether a report says that the hold didn't hold."""
    process, psi, kind = load.process, event.data.get("pressure"), event.kind
    if load.stage is not Stage.HOLD:
        return False
    if process.is_dial:
        below = psi is None or psi < (process.target_psi or 0)
        return kind in ("pressure_is", "pressure_low") and below
    return kind in (("weight_quiet", "pressure_low") if process.is_pressure else ("boil_lost",))


def _wanted(load: Load) -> str:
    """Name the call that a load's state asks for."""
    if load.stage is Stage.VENT and load.vented_s >= VENT_S:
        return "vent_done"
    if load.stage is Stage.HOLD and load.processed_t is not None:
        return "hold_done"
    if load.stage is Stage.HOLD and not load.holding:
        return "hold_lost"
    if load.step in ("vent_again", "vent_open", "mend") and load.holds:
        return "hold_lost"
    if load.stage is Stage.COOL and load.process.is_pressure:
        return "settle_done" if load.at_zero and not load.timer("settle") and not load.lid_off else ""
    if load.stage is Stage.COOL and load.lid_off and not load.timer("bath_rest"):
        return "bath_rest_done"
    return "rest_done" if load.stage is Stage.COUNT and load.sealed is None else ""
