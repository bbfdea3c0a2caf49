"""The whole proof: every seed explored, in several processes, and what came of it in words."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, replace

from days import SEEDS, Seed
from explorer import Explored, Found, explore, told, transcript

__all__ = ["Proof", "prove", "report", "summary"]

_HEAVY_FIRST = sorted(SEEDS, key=lambda seed: -len(seed.loads))


@dataclass(frozen=True, slots=True)
class Proof:
    """What all seeds together brought."""

    explored: tuple[Explored, ...]
    seconds: float

    @property
    def found(self) -> tuple[Found, ...]:
        """Each kind of fault once, by its shortest way, the shortest first."""
        best: dict[object, Found] = {}
        for found in (each for one in self.explored for each in one.found.values()):
            known = best.get(found.fault.kind)
            times = found.times + (known.times if known is not None else 0)
            short = found if known is None or _length(found) < _length(known) else known
            best[found.fault.kind] = replace(short, times=times)
        return tuple(sorted(best.values(), key=_length))


def _length(found: Found) -> tuple[bool, int, int, str]:
    return (
        not found.fault.grave,
        len(found.steps) + found.silent,
        [seed.name for seed in SEEDS].index(found.seed),
        found.fault.hazard,
    )


def prove(seeds: Sequence[Seed], depth: int, *, minutes: float | None = None, jobs: int = 1) -> Iterator[Explored]:
    """Explore each seed; yield what it brought when it is done.

    With `minutes` each seed gets the same share of them, and goes as deep in it as it gets, at most `depth`.
    """
    ordered = [seed for seed in _HEAVY_FIRST if seed in seeds]
    share_s = None if minutes is None else 60.0 * minutes * jobs / len(ordered)
    if jobs == 1:
        yield from (_explore(seed, depth, share_s) for seed in ordered)
        return
    with ProcessPoolExecutor(max_workers=jobs) as pool:
        for job in as_completed([pool.submit(_explore, seed, depth, share_s) for seed in ordered]):
            yield job.result()


def _explore(seed: Seed, depth: int, share_s: float | None) -> Explored:
    return explore(seed, depth, until=None if share_s is None else time.perf_counter() + share_s)


def summary(proof: Proof) -> Iterator[str]:
    """Say what was tried, and the shortest way to a fault."""
    explored = proof.explored
    sequences, turns = sum(each.sequences for each in explored), sum(each.turns for each in explored)
    worked = sum(each.seconds for each in explored)
    depths = sorted({each.depth for each in explored})
    deep = f"depth {depths[0]}" if len(depths) == 1 else f"depth {depths[0]} to {depths[-1]}"
    yield (
        f"{sequences} sequences from {len(explored)} seeds to {deep}, in {turns} turns through "
        f"{sum(each.states for each in explored)} states; {proof.seconds:.0f} s, {worked:.0f} s of processor time, "
        f"{sequences / worked:.0f} sequences a second of it"
    )
    found = proof.found
    if not found:
        yield "Nothing was said that may not be said."
        return
    yield f"{len(found)} kinds of fault. The shortest way to one:"
    yield from _one(found[0])


def report(found: Iterable[Found]) -> Iterator[str]:
    """Tell every kind of fault with its shortest way, by hazard."""
    by_hazard = sorted(found, key=lambda each: (each.fault.hazard, _length(each)))
    for place, each in enumerate(by_hazard, start=1):
        yield f"{place}. {told(each.fault)}"
        yield from _one(each, head=False)
        yield ""


def _one(found: Found, *, head: bool = True) -> Iterator[str]:
    seed = next(each for each in SEEDS if each.name == found.seed)
    if head:
        yield told(found.fault)
    yield f'   from the seed "{seed.name}", {found.times} states broken by it:'
    yield from (f"   {line}" for line in transcript(seed, found))
