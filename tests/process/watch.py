"""What must be true of any day, worked out from the history alone, beside the engine and not by it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from watched import (
    COOL_S,
    LASTING,
    NOT_OF_A_VENT,
    OF_A_HOLD_DONE,
    OF_A_VENT,
    OF_JARS,
    SETTLE_S,
    VENT_S,
    WINDOW_S,
    breaks,
    counts,
    fits,
    spoils,
    stands,
    starts,
    tells_zero,
    unfit,
    wanted,
)

from kitchenvoice.process import Event, Kitchen, Load, Stage, apply, due, fold, loads_for
from kitchenvoice.process.objections import REPORT_STAGES

ENOUGH = 1e-6
STARTS = {
    "vent": {"steam_steady"},
    "hold": {"pressure_is", "pressure_low", "weight_rocking", "boiling"},
    "settle": {"gauge_zero", "pressure_is"},
    "bath_rest": {"lid_off"},
    "rest": {"jars_out"},
    "window": {"timer_due", "fault", "tally", "jar_broke", "seal_count", "doubt_settled"},  # its end is the hold's
}


@dataclass
class Seen:
    """What the reports say of one load."""

    steam_t: float | None = None
    held_t: float | None = None
    zero_t: float | None = None
    above_t: float = float("-inf")
    off_t: float | None = None
    cold: bool = False
    gone: set[int] = field(default_factory=set)
    """Doubts that tell of a zero: by them air is back in the canner."""
    in_vent: set[int] = field(default_factory=set)
    """Words that were told while it vented, and kept."""
    open: dict[int, str] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def spoils(self, load: Load, kind: str, doubt: int) -> bool:
        """Tell whether a doubt is of what a hold still to come starts with."""
        return spoils(load, kind, gone=doubt in self.gone, in_vent=doubt in self.in_vent)


class Watch:
    """Replay a history, and say what shouldn't have happened."""

    def __init__(self, history: Sequence[Event], reached: Kitchen) -> None:
        self.faults: list[str] = []
        self.seen: dict[int, Seen] = {}
        self.open_calls: set[str] = set()
        gone = {event.data["seq"] for event in history if event.kind == "scratched"}
        self.taken_back = [event for event in history if event.seq in gone]
        kitchen = Kitchen()
        for event in history:
            if event.seq not in gone:
                kitchen = self._step(kitchen, event)
        self._end(history, kitchen, reached)

    def _fault(self, event: Event, what: str) -> None:
        self.faults.append(f"{what} (at {event.seq}, {event.kind}, load {event.load}, t {event.t})")

    def _step(self, before: Kitchen, event: Event) -> Kitchen:
        after, facts = apply(before, event)
        for was in before.open_loads:
            now = after.load(was.id)
            if now is not None and event.load == was.id:
                self._reports(was, now, event)
            if now is not None and now != was:
                self._transitions(was, now, event)
        self._doubts(before, after, event)
        for load in after.loads:
            self._load(load, event)
        self._calls(before, after, event, {fact.kind for fact in facts if fact.load == event.load})
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
        elif kind == "heat_off" and seen.held_t is not None and event.t - seen.held_t >= 60 * process.minutes - ENOUGH:
            pass  # the time is up, whatever is asked yet
        elif kind == "heat_off" and stage in (Stage.VENT, Stage.COME_UP, Stage.HOLD) and was.processed_t is None:
            seen.cold = True
            seen.steam_t = seen.held_t = None
        if kind in ("heat_on", "steam_steady"):
            seen.off_t = None
        elif kind == "heat_off" and seen.off_t is None:
            seen.off_t = event.t
        doubted = was.doubt and not now.doubt and not (kind == "was_steady" and event.data.get("ok") is True)
        if kind == "steam_stopped" and stage is Stage.VENT:
            seen.steam_t = None
        elif kind == "steam_steady" and stage in (Stage.CANNER, Stage.VENT) and seen.steam_t is None:
            seen.steam_t = event.t
        if stage in (Stage.CANNER, Stage.COME_UP, Stage.HOLD) and was.processed_t is None:
            if starts(was, event) and not seen.cold and seen.held_t is None:
                seen.held_t = event.t
            elif breaks(was, event) and not self._only_cools(seen, process.minutes):
                seen.held_t = None
        if doubted and kind in ("was_steady", "timer_due"):
            seen.steam_t = seen.held_t = None
        if stage is Stage.COOL and process.is_pressure:
            if tells_zero(event) and seen.zero_t is None:
                seen.zero_t = event.t
            elif kind == "pressure_is" and event.data["pressure"] > 0 and not was.lid_off:
                seen.zero_t, seen.above_t = None, event.t

    @staticmethod
    def _only_cools(seen: Seen, minutes: float) -> bool:
        """Tell whether the heat went off once the time was up, whatever is asked yet: it is no loss that it cools."""
        return None not in (seen.off_t, seen.held_t) and seen.off_t - seen.held_t >= 60 * minutes - ENOUGH

    def _zero_untold(self, load: Load, event: Event) -> bool:
        """Tell whether a lid can have come off as it should, though no zero stands: cold, and by a yes to just that.

        Or its zero was taken back after the lid was off, or the cooling is a fault of the load already.
        """
        seen = self.seen[load.id]
        cold = seen.off_t is not None and event.t - seen.off_t >= COOL_S - ENOUGH
        if seen.zero_t is not None or not cold or event.t - seen.above_t < SETTLE_S - ENOUGH:
            return False
        taken_back = any(x.load == load.id and x.t >= seen.off_t and tells_zero(x) for x in self.taken_back)
        return event.data.get("asked") == "zero_untold" or taken_back or load.fault("cooling") is not None

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
        waited = waited or self._zero_untold(was, event)
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
            counted = counts(load)
            if event.kind == "doubt" and load.id in data["loads"]:
                self._doubted(load, after.load(load.id), event)
            elif gap and counted:
                seen.open = {n: kind for n, kind in seen.open.items() if kind != "gap"} | {event.seq: "gap"}
            elif event.kind == "doubt_settled" and load.id in (*data.get("held", ()), *data.get("lost", ())):
                lost = load.id in data.get("lost", ()) and data["doubt"] in seen.open
                seen.cold = seen.cold or (lost and seen.open[data["doubt"]] == "heat_off")
                if lost and not _told(load, after, seen.open[data["doubt"]]):
                    self._fault(event, f"{seen.open[data['doubt']]} was lost, and nothing tells of it")
                lost = lost and seen.open[data["doubt"]] not in OF_JARS
                at_zero = lost and data["doubt"] in seen.gone and load.process.is_pressure and load.holding
                if at_zero and (after.load(load.id) or load).stage is not Stage.VENT:
                    self._fault(event, "a hold was lost at zero, and it doesn't vent again")
                spoiled = lost and stands(load) and load.lid_off  # with all of it
                seen.open = {n: kind for n, kind in seen.open.items() if n != data["doubt"] and not spoiled}
                if lost:
                    seen.steam_t = seen.held_t = None
            elif event.kind == "timer_due" and load.id == event.load and load.kept and not seen.open:
                at_end = data["timer"] in ("vent", "hold") and data["mark"] == "end"
                if at_end and (timer := load.timer(str(data["timer"]))) and event.t >= timer.due_t:
                    waits = NOT_OF_A_VENT if data["timer"] == "vent" else set()
                    seen.open = {doubt.id: doubt.kind for doubt in load.kept if doubt.kind not in waits}
            elif event.kind == "was_steady" and load.id == event.load and data.get("ok") is True:
                seen.open = {n: kind for n, kind in seen.open.items() if kind != "gap"}
            elif event.kind == "heat_on" and load.id == event.load and load.stage is not Stage.COOL and not counted:
                seen.open = {n: kind for n, kind in seen.open.items() if kind != "heat_off"}
        for load in after.open_loads:
            seen = self.seen.setdefault(load.id, Seen())
            was = before.load(load.id)
            done = was is not None and was.processed_t is None and load.processed_t is not None
            if done and (seen.open or load.kept):
                self._fault(event, "a hold is marked done while it is in doubt")
            if was is not None and was.holding and not load.holding and load.processed_t is None:
                seen.cold = seen.cold or ("heat_off" in seen.open.values() and event.kind != "heat_on")
                seen.open, seen.held_t = {n: kind for n, kind in seen.open.items() if kind != "heat_off"}, None
            if was is not None and was.stage is Stage.VENT and (load.stage is not Stage.VENT or load.step != was.step):
                lasts = load.stage is Stage.VENT and load.vented_s
                seen.open = {n: kind for n, kind in seen.open.items() if lasts or kind in ("fault", "heat_off")}
            if load.given_up_t is not None:
                seen.open = {}
            if load.processed_t is None and not counts(load):
                seen.open = {n: kind for n, kind in seen.open.items() if seen.spoils(load, kind, n)}
            held = {doubt.kind for doubt in (*load.kept, *load.doubts)}
            spoiled = load.fault("short") is not None
            told = () if was is None else was.kept if spoiled else (*was.kept, *was.doubts)
            told = [each for each in told if each.id != data.get("doubt")]
            left = {x.kind for x in told if x.kind in LASTING or (x in was.kept and (counts(load) or stands(load)))}
            if load.given_up_t is None and left - held:
                self._fault(event, f"what was told to be asked about is lost: {left - held}")
            if {doubt.id for doubt in load.doubts} != set(seen.open):
                self._fault(event, f"doubts {load.doubts} are open, and {seen.open} were raised and not settled")
        for load in before.open_loads:
            self._closed(load, after.load(load.id), event)

    def _doubted(self, load: Load, now: Load | None, event: Event) -> None:
        """Note a doubt that touches a load: what counts there, or has counted and can still be contradicted."""
        seen, kind = self.seen[load.id], event.data["kind"]
        if kind == "settings":
            if now is None or not any(remark.kind == "settings" for remark in now.remarks):
                self._fault(event, "settings that have changed leave no remark")
        elif kind == "kept":
            early = event.data.get("early") is True
            asked = [x for x in load.kept if not early or x.kind in OF_A_VENT or x.id in seen.in_vent]
            if counts(load) or stands(load) or (early and load.stage is Stage.COME_UP):
                seen.open |= {doubt.id: doubt.kind for doubt in asked if doubt.kind not in seen.open.values()}
        elif event.data.get("kept") and not (kind == "of_size" and (counts(load) or stands(load))):
            seen.in_vent |= {event.seq} if load.stage is Stage.VENT else set()
            if now is None or not any(str(event.data["words"]) in str(x.data.get("words")) for x in now.kept):
                self._fault(event, "words that are to be asked about aren't kept")
        elif kind not in seen.open.values():
            if event.data.get("pressure") == 0 or event.data.get("air") is True:
                seen.gone |= {event.seq}
            if seen.spoils(load, str(kind), event.seq) or fits(load, str(kind), event.t):
                seen.open[event.seq] = str(kind)

    def _closed(self, was: Load, now: Load | None, event: Event) -> None:
        """Nothing in doubt is closed as if it weren't, and no canner is let go that may be under pressure."""
        if now is None or now.stage is not Stage.CLOSED:
            return
        seen = self.seen[was.id]
        if (seen.open or was.kept) and now.shelved:
            self._fault(event, f"closed in doubt, {now.shelved} jars for the shelf")
        if event.kind == "load_given_up":
            shut = was.stage in (Stage.COME_UP, Stage.HOLD, Stage.COOL) and not was.lid_off
            if event.data.get("canner") and was.process.is_pressure and shut:
                self._fault(event, "a canner that may be under pressure was let go")
            seen.open = {}
        if now.doubts or now.kept or now.timers:
            self._fault(event, f"closed with {now.doubts}, {now.kept}, {now.timers}")

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
        decided = sum(load.outcomes.values())
        if decided > (load.jars if load.failed is None else load.standing - load.shelved):
            self._fault(event, f"{dict(load.outcomes)} decided, {load.shelved} of {load.standing} for the shelf")
        bad = (load.failed or 0) + unfit(load)
        open_to = bad or (0 if event.data.get("outcome") == "reprocess" else load.sealed or 0)  # of sealed ones, else
        if load.id == event.load and event.kind == "jar_outcome" and decided > open_to:
            self._fault(event, f"{dict(load.outcomes)} of {load.failed} failed and {unfit(load)} unfit")
        if load.shelved > max(0, (load.sealed or 0) - unfit(load)):
            self._fault(event, f"{load.shelved} for the shelf of {load.sealed} sealed, {unfit(load)} unfit")
        self._window(load, event)
        if not 0 <= sum(load.tally) <= load.standing:
            self._fault(event, f"tally {load.tally} of {load.standing}")
        after_it = stands(load) and {doubt.kind for doubt in load.doubts} <= OF_A_HOLD_DONE
        before_it = all(self.seen.get(load.id, Seen()).spoils(load, doubt.kind, doubt.id) for doubt in load.doubts)
        if load.doubt and not (counts(load) or after_it or before_it):
            self._fault(event, "doubt about nothing")

    def _window(self, load: Load, event: Event) -> None:
        """The hours for jars that failed run from the hold's own end, as long as a jar may be to decide about."""
        window, done_t = load.timer("window"), load.processed_t
        if window is not None and (window.started_t, window.seconds) != (done_t, WINDOW_S):
            self._fault(event, f"the window is {window}, the hold was done at {done_t}")
        open_ended = load.failed is None or load.failed + unfit(load) > sum(load.outcomes.values())
        runs = stands(load) and load.stage is not Stage.CLOSED and event.t < (done_t or 0.0) + WINDOW_S
        if runs and open_ended and window is None:
            self._fault(event, "jars may have failed, and no window runs")

    def _calls(self, before: Kitchen, after: Kitchen, event: Event, told: set[str]) -> None:
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
            own = event.load == call.load or event.kind == "doubt_settled"
            if call.load is None or not own or was == now:
                self._fault(event, f"call {call.key} was lost")
        for load in after.open_loads:
            call = wanted(load)
            was = before.load(load.id)
            void = was is not None and was.sealed is not None and event.load == load.id
            recount = call == "rest_done" and void and told & {"count_void", "jar_broke"}  # told in answer
            if call == "hold_done" and was is not None and was.stage is Stage.COOL:
                call = "not_cooling"
            if call == "hold_lost" and was is not None and load.restarts == was.restarts:  # told, and said again
                recount = any(each.load == load.id and each.data.get("timer") == "step" for each in due(after))
            fresh = call and not recount and (was is None or wanted(was) != call)
            if fresh and f"{call}:{load.id}" not in keys:
                self._fault(event, f"{call} wasn't called")

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


def _told(was: Load, after: Kitchen, lost: str) -> bool:
    """Tell whether a doubt of what no hold makes good, settled as lost, is a fault by now, or its vent began anew."""
    now = after.load(was.id)
    if lost not in OF_JARS or now is None or (lost == "of_acid" and not was.process.acid):
        return True
    anew = lost == "of_vent" and now.stage is Stage.VENT and not counts(now)
    return anew or any(fault.t == after.t for fault in now.faults)
