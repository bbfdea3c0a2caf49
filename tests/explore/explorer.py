"""Every sequence of what can be said and happen, from a seed on: what breaks the oracle, and the shortest way there."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass, field

from adapter import CALL, Kitchen, Reply
from beliefs import Fault
from days import EVERYDAY, Seed, Step, alphabet
from oracle import Oracle

__all__ = ["Explored", "Found", "Node", "explore", "transcript"]

JUST_S = 0.5
NEAR_END_S = 5.0
SILENCE_S = 300.0


@dataclass(frozen=True, slots=True)
class Found:
    """A fault with the shortest way to it. `silent`: it came when nobody said anything any more."""

    fault: Fault
    seed: str
    steps: tuple[Step, ...]
    silent: bool
    times: int = 1


@dataclass(slots=True)
class Explored:
    """What was tried from one seed, in so many seconds of processor time."""

    seed: str
    depth: int = 0
    sequences: int = 0
    turns: int = 0
    states: int = 0
    whole: bool = True
    seconds: float = 0.0
    found: dict[tuple[str, str, str], Found] = field(default_factory=dict)

    def note(self, fault: Fault, steps: tuple[Step, ...], *, silent: bool) -> None:
        """Keep a fault; of those of one kind the first, which is a shortest one."""
        known = self.found.get(fault.kind)
        if known is None:
            self.found[fault.kind] = Found(fault, self.seed, steps, silent)
        else:
            self.found[fault.kind] = Found(known.fault, known.seed, known.steps, known.silent, known.times + 1)


class Node:
    """A kitchen with the oracle beside it."""

    __slots__ = ("kitchen", "oracle", "steps", "ways", "wrong")

    def __init__(self, kitchen: Kitchen, oracle: Oracle, steps: tuple[Step, ...] = (), ways: int = 1) -> None:
        self.kitchen, self.oracle, self.steps, self.ways = kitchen, oracle, steps, ways
        self.wrong: frozenset[object] = frozenset()

    @classmethod
    def at(cls, seed: Seed) -> Node:
        """Go to a seed. Raises: AssertionError if the oracle finds something wrong on the way."""
        node = cls(Kitchen(two_dials=seed.two_dials), Oracle(seed.loads, CALL))
        for step in seed.story:
            faults = [fault for _, fault in node.do(step)]
            assert not faults, (seed.name, step, faults)
        return node

    def then(self, step: Step) -> Node:
        """Return a copy that has one step more to its name, not yet done."""
        other = Node(self.kitchen.copy(), self.oracle.copy(), (*self.steps, step), self.ways)
        other.wrong = self.wrong
        return other

    def do(self, step: Step) -> Iterator[tuple[Reply, Fault]]:
        """Do one step; yield the faults with the reply that they are in."""
        for reply, faults in self.replies(step):
            for fault in faults:
                yield reply, fault

    def replies(self, step: Step) -> Iterator[tuple[Reply, list[Fault]]]:
        """Do one step; yield each reply of the program with its faults."""
        kitchen, oracle = self.kitchen, self.oracle
        if isinstance(step, str) and step.startswith("cut "):
            off_s = float(step.removeprefix("cut "))
            reply = kitchen.cut(off_s)
            oracle.cut(kitchen.t, off_s)
            yield reply, oracle.reply(reply.t, reply.said, reply.recorded)
            return
        to = self._until(step)
        if to is None:
            if (
                due := kitchen.next_t()
            ) is not None and due <= kitchen.t:  # what the clock brings comes before the words
                yield from self._pass_to(kitchen.t)
            text = str(step)[2:] if str(step).startswith("> ") else f"{CALL} {step}"
            oracle.hear(text, kitchen.t)
            reply = kitchen.hear(text)
            yield reply, oracle.reply(reply.t, reply.said, reply.recorded)
            return
        yield from self._pass_to(to)

    def _pass_to(self, t: float) -> Iterator[tuple[Reply, list[Fault]]]:
        for reply in self.kitchen.pass_to(t):
            yield reply, self.oracle.reply(reply.t, reply.said, reply.recorded)

    def _until(self, step: Step) -> float | None:
        if not isinstance(step, str):
            return self.kitchen.t + step
        if not step.startswith("to just "):
            return None
        end = step.endswith("the end")
        due = self.kitchen.next_end_t() if end else self.kitchen.next_t()
        away = NEAR_END_S if end else JUST_S
        if due is None:
            return self.kitchen.t
        return max(self.kitchen.t, due - away if " before " in step else due + away)

    def key(self, grain: float) -> object:
        """Return what will be gone on from."""
        t = self.kitchen.t
        step = max(1.0, grain * 100.0) if grain else 0.1
        return self.kitchen.key(grain), self.oracle.key(lambda value: round((value - t) / step))

    def at_odds(self) -> frozenset[object]:
        """Return what may still be said wrongly: open doubts, and holds that count without a report."""
        return self.oracle.unsettled() | {("counts", load) for load in self.kitchen.holds() - self.oracle.holds()}

    def fall_silent(self) -> Iterator[tuple[Reply, Fault]]:
        """Say nothing more until all that counts is over, or nothing is in doubt: silence settles nothing as held.

        What was said wrongly after silence before isn't waited for again.
        """
        if self.at_odds() <= self.wrong:
            return
        silent, end = self.then(0.0), self.kitchen.last_end_t()
        for reply, faults in silent.replies(max(SILENCE_S, (end or 0.0) - self.kitchen.t + SILENCE_S)):
            for fault in faults:
                if fault.grave:
                    self.wrong = self.at_odds()
                yield reply, fault
            if not silent.at_odds():
                return


def explore(seed: Seed, depth: int, *, until: float | None = None, exact: int = 3, grain: float = 0.1) -> Explored:
    """Try every sequence of so many steps, those that lead to equal states together.

    Args:
        depth: the most steps after the seed.
        until: when to stop, by `time.perf_counter`; what was tried by then is told.
        exact: up to this depth only states that are equal to a tenth of a second are taken together.
        grain: beyond it times are rounded by this part of how far away they are.
    """
    began, done = time.process_time(), Explored(seed.name)
    frontier, seen = [Node.at(seed)], set[int]()
    for level in range(1, depth + 1):
        reached = dict[int, Node]()
        rough = grain if level > exact else 0.0
        also = grain if level <= exact < depth else None
        frontier.reverse()
        while frontier and (until is None or time.perf_counter() < until):
            steps = tuple(alphabet(seed, first=level == 1))
            _try_all(frontier.pop(), steps, done, seen, None if level == depth else reached, rough, also)
        done.whole = not frontier
        done.states = len(seen)
        if not done.whole:
            break
        done.depth, frontier = level, list(reached.values())
    done.seconds = time.process_time() - began
    return done


def _try_all(
    node: Node,
    steps: tuple[Step, ...],
    done: Explored,
    seen: set[int],
    reached: dict[int, Node] | None,
    grain: float,
    also: float | None,
) -> None:
    for step in steps:
        child = node.then(step)
        done.sequences += node.ways
        done.turns += 1
        broken = False
        for _, fault in child.do(step):
            done.note(fault, child.steps, silent=False)
            broken = broken or fault.grave
        if broken or (reached is None and child.at_odds() <= child.wrong):
            continue
        key = hash(child.key(grain))
        if reached is not None and key in reached:
            reached[key].ways += node.ways
        if key in seen:
            continue
        seen.add(key)
        if also is not None:
            seen.add(hash(child.key(also)))
        for _, fault in child.fall_silent():
            done.note(fault, child.steps, silent=True)
        if reached is not None and step not in EVERYDAY:
            reached[key] = child


def transcript(seed: Seed, found: Found) -> Iterator[str]:
    """Tell a way to a fault, line by line, from the seed on."""
    node = Node.at(seed)
    began = node.kitchen.t
    steps = [*found.steps, "silence"] if found.silent else [*found.steps]
    for step in steps:
        at = node.kitchen.t - began
        if step == "silence":
            yield f"{_clock(at)}  (nobody says anything more)"
            end = node.kitchen.last_end_t() or node.kitchen.t
            step = max(SILENCE_S, end - node.kitchen.t + SILENCE_S)
        else:
            yield f"{_clock(at)}  {_told(step)}"
        for reply, faults in node.replies(step):
            if reply.text:
                yield f"{_clock(reply.t - began)}      program: {reply.text}"
            for fault in faults:
                yield f"{_clock(reply.t - began)}      *** {told(fault)}"
            if any(fault.kind == found.fault.kind for fault in faults):
                return


def told(fault: Fault) -> str:
    """Say a fault in one line."""
    of = "" if fault.load is None else f", load {fault.load}"
    cause = f', open since "{fault.cause}"' if fault.cause else ""
    marks = f" ({', '.join(fault.marks)})" if fault.marks else ""
    return f"{fault.hazard}: {fault.what}{of}{cause}{marks}"


def _told(step: Step) -> str:
    if isinstance(step, str):
        if step.startswith(("to just", "cut ")):
            return f"({step})"
        return f"cook: {step[2:]}" if step.startswith("> ") else f"cook: {CALL}, {step}"
    return f"({step:g} s pass)"


def _clock(seconds: float) -> str:
    return f"{int(seconds // 60):02}:{seconds % 60:04.1f}"
