"""Stories for the crash tests: events, and the end of each append."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import as_file, files

from kitchenvoice.grammar import GrammarBook
from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
from kitchenvoice.ports import Event, Moment
from kitchenvoice.rehearsal.scenario import read_scenario
from kitchenvoice.rehearsal.stage import Rehearsal
from kitchenvoice.testing.fake_log import MemoryLog

from .days import DAY, Day


@dataclass(frozen=True)
class Story:
    """Events in order; `ends` are the numbers of the last entry of each append."""

    events: list[Event]
    ends: list[int]

    def after(self, seq: int) -> int:
        """End of the append after entry `seq`; `seq` itself at the end of the story."""
        at = bisect_right(self.ends, seq)
        return self.ends[at] if at < len(self.ends) else seq

    def batch(self, seq: int) -> list[Event]:
        """The append after entry `seq`."""
        return self.events[seq : self.after(seq)]


def season(loads: int) -> Story:
    """A synthetic season of so many loads: restarts, failures, timers, entries taken back, jars opened."""
    day = Day()
    for load in range(1, loads + 1):
        food = ("carrots", "peas_green", "corn_whole_kernel")[load % 3]
        day.add("session_start", off_s=0.0 if load % 4 else 90.0)
        day.whole(load, food, jars=7 + load % 3, failed=load % 2, restarts=load % 2)
        day.add("timer_start", minutes=12.0, name="bread")
        day.add("packed", load, count=1, heard="one more")
        day.add("scratched", load, seq=day.seq)
        day.ends(None, "bread", 12)
        day.add("answer_call")
        day.add("opened", food=food, count=2, jar="pint")
        if load % 5 == 0:
            day.add("scratched", seq=day.seq)
        day.t += DAY / 3
    ends, seq = [], 0
    while seq < len(day.events):
        seq = min(len(day.events), seq + 1 + seq * 7919 % 3)
        ends.append(seq)
    return Story(day.events, ends)


class _Remembering(MemoryLog):
    """A log that records where each append ended."""

    def __init__(self) -> None:
        super().__init__()
        self.ends: list[int] = []

    def append(self, events: Sequence[Event], moment: Moment) -> None:
        super().append(events, moment)
        if events:
            self.ends.append(self.last_seq)


def demo() -> Story:
    """The day of the demonstration, as its dialogue records it."""
    log = _Remembering()
    with as_file(files("kitchenvoice.rehearsal").joinpath("scenarios/demo.txt")) as path:
        scenario = read_scenario(path)
    rehearsal = Rehearsal(scenario, GrammarBook.load(), PRACTICE_KITCHEN, log)
    for _ in rehearsal.run():
        pass
    if rehearsal.failures:
        raise SystemExit(f"the demonstration itself fails: {rehearsal.failures}")
    return Story(list(log.read()), log.ends)
