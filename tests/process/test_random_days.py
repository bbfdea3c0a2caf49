"""Days that nobody planned, by hypothesis and by seed: whatever is said and when, some things are always true."""

import random

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from random_day import RandomDay

HOW = settings(
    max_examples=40,
    stateful_step_count=25,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example],
)


class Drawn:
    """Choices that hypothesis makes, and makes smaller when something is wrong."""

    def __init__(self) -> None:
        self.data = None

    def choice(self, options):
        return self.data.draw(st.sampled_from(list(options)))


class AnyDay(RuleBasedStateMachine):
    """One kitchen; each rule is one thing that a cook, the clock or the power can do."""

    loads_at_first, most_loads = 1, 3

    def __init__(self):
        super().__init__()
        self.drawn = Drawn()
        self.day = RandomDay(self.drawn, self.most_loads)

    def _do(self, name, data):
        self.drawn.data = data
        getattr(self.day, name)()

    @initialize(data=st.data())
    def first_loads(self, data):
        for load in range(1, self.loads_at_first + 1):
            self._do("start", data)
            if self.loads_at_first == 1:
                self._far_on(load, data)

    def _far_on(self, load, data):
        """Bring a load to some stage as it should go: what can go wrong late is met as often as what can early."""
        stage = data.draw(st.sampled_from(["", "hold", "off", "cool", "rest", "count", "closed"]))
        cook = self.day.cook
        if stage == "closed":
            cook.to_count(load)
            cook.report("seal_count", load, sealed=cook.load(load).standing, failed=0)
            cook.report("load_close", load)
        elif stage:
            getattr(cook, f"to_{stage}")(load)

    @rule(data=st.data())
    def another_load(self, data):
        if len(self.day.cook.kitchen.open_loads) < self.most_loads:
            self._do("start", data)

    @rule(data=st.data(), name=st.sampled_from(["onward", "onward", "sensible", "sensible", "any"]))
    def report(self, data, name):
        self._do(name, data)

    @rule(data=st.data(), name=st.sampled_from(["wait", "call", "timer"]))
    def time_goes_on(self, data, name):
        self._do(name, data)

    @rule(data=st.data(), name=st.sampled_from(["doubt", "settle", "closed", "give_up"]))
    def contradiction(self, data, name):
        self._do(name, data)

    @rule(data=st.data(), name=st.sampled_from(["scratch", "undo"]))
    def change_of_mind(self, data, name):
        self._do(name, data)

    @rule(data=st.data())
    def power_cut(self, data):
        self._do("gap", data)

    @invariant()
    def nothing_broken(self):
        if len(self.day.cook.history) % 4 == 0:
            self.day.check()

    def teardown(self):
        self.day.check()


class FullKitchen(AnyDay):
    """Eight loads at once, in three canners and pots, at as many stages as chance brings."""

    loads_at_first, most_loads = 8, 8


@pytest.mark.parametrize("seed", range(1, 21))
def test_a_long_day_reaches_what_comes_late_and_breaks_nothing(seed):
    day = RandomDay(random.Random(seed))
    for _ in range(120):
        day.step()
    day.check()


TestAnyDay = AnyDay.TestCase
TestAnyDay.settings = HOW
TestFullKitchen = FullKitchen.TestCase
TestFullKitchen.settings = settings(HOW, max_examples=15, stateful_step_count=25)
