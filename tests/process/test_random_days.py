"""Days that nobody planned, left to hypothesis: whatever is said and whenever, some things must always be true."""

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from random_day import RandomDay

HOW = settings(
    max_examples=120,
    stateful_step_count=30,
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
        for _ in range(self.loads_at_first):
            self._do("start", data)

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


TestAnyDay = AnyDay.TestCase
TestAnyDay.settings = HOW
TestFullKitchen = FullKitchen.TestCase
TestFullKitchen.settings = settings(HOW, max_examples=40, stateful_step_count=40)
