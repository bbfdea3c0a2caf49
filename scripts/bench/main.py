"""Run the bench: plan, work in two processes, write the report."""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import resource
import sys
import time
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import replace
from importlib import metadata
from multiprocessing import get_context
from pathlib import Path
from typing import Any, TypeAlias

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from bench import ear, machine, report
from bench.corpus import CONDITIONS
from bench.foods import FoodTask, food_tasks, write_foods
from bench.plan import LONG, SEED, SHORT, Task, tasks
from bench.real import RealTask, real_tasks
from bench.real_report import write_real
from bench.tasks import CommandTask
from kitchenvoice.hearing import find_rescorer
from kitchenvoice.rehearsal.cook import voices

Work: TypeAlias = Task | RealTask | FoodTask
REGISTER = ear.ROOT / "grammars" / "register.yaml"


def run(task: Work) -> dict[str, Any]:
    """Run one task in a process of the pool."""
    return task.run() | {"rss_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0}


def main() -> None:
    """Parse the command line and run."""
    parser = argparse.ArgumentParser(prog="scripts/bench_hearing", description=__doc__)
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--short", action="store_true", help="under ten minutes on two cores (default)")
    form.add_argument("--long", action="store_true", help="every sentence, six hours of talk, an hour of noise")
    parser.add_argument("--minutes", type=float, help="stop after so many minutes; the report says what was run")
    parser.add_argument("--talk-minutes", type=int, help="other talk, instead of the form's number")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    parser.add_argument("--out", type=Path, default=ear.ROOT / "tests" / "bench", help="folder of the report")
    parser.add_argument("--records", type=Path, help="keep every record here (JSON lines) and go on from them")
    parser.add_argument("--cache", type=Path, default=_cache(), help="folder for sentences spoken once")
    parser.add_argument("--register", type=Path, default=REGISTER, help="the register of commands")
    parser.add_argument("--real", type=Path, metavar="DIR", help="recordings of real people, beside synthetic ones")
    parser.add_argument("--foods", action="store_true", help="every name of a food, by several voices in quiet")
    parser.add_argument("--every", type=int, default=1, help="of those only every so many-th (default all)")
    given = parser.parse_args()
    plan = LONG if given.long else SHORT
    if given.talk_minutes is not None:
        plan = replace(plan, talk_minutes=given.talk_minutes)
    given.cache.mkdir(parents=True, exist_ok=True)
    if given.real is not None:
        beside = real_tasks(given.real, given.cache, given.every)
        about = {"every": given.every, "second": _second(), "voices": ", ".join(cook.name for cook in voices())}
        print(write_real(_work(beside, given.jobs, None, given.records), about, given.out))
        return
    started = time.perf_counter()
    if given.foods:
        until = None if given.minutes is None else started + 60.0 * given.minutes
        named = _work(food_tasks(given.cache, given.every), given.jobs, until, given.records)
        print(write_foods(named, {"every": given.every, "second": _second()}, given.out))
        return
    costs = machine.costs()
    work, disputed = tasks(plan, given.register, given.cache)
    until = None if given.minutes is None else started + 60.0 * given.minutes
    records = _work(work, given.jobs, until, given.records)
    late = alone(work, 16 if given.long else 4)
    recogniser = ear.recogniser("sentences")
    about = costs | {
        "late": late,
        "form": plan.name,
        "seed": SEED,
        "planned": len(work),
        "minutes": sum(record["cpu_s"] for record in records) / 60.0,
        "engine": recogniser.engine,
        "model": recogniser.model,
        "second": _second(),
        "voices": ", ".join(cook.name for cook in voices()),
        "disputed": [f"{s.stage}: {s.text!r} ({s.intent} {s.slots})" for s in disputed],
    }
    print(report.write(records, about, given.out))


def alone(work: list[Task], each: int) -> list[float]:
    """Return decision times of clips heard right, so many of each condition, without a parallel process."""
    if (second := find_rescorer()) is not None:
        second.load()  # loads its model before the first clip
    left = dict.fromkeys((condition.name for condition in CONDITIONS), each)
    late = []
    for task in work:
        if isinstance(task, CommandTask) and task.system == "ear" and left[task.condition] > 0:
            left[task.condition] -= 1
            record = task.run()
            if record["expected"] is not None and record["meant"] == [record["expected"]]:
                late.append(record["latency_s"])
    return late


def _work(work: Sequence[Work], jobs: int, until: float | None, kept: Path | None) -> list[dict[str, Any]]:
    """Run the tasks missing from the saved records; save each record as it comes."""
    done = _read(kept)
    records = [done[key] for task in work if (key := _key(task)) in done]
    left = [task for task in work if _key(task) not in done]
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        pending = {pool.submit(run, task): task for task in left}
        for future in as_completed(pending):
            record = future.result() | {"key": _key(pending[future])}
            records.append(record)
            if kept:
                with kept.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(record) + "\n")
            if len(records) % 100 == 0:
                print(f"{len(records)} of {len(work)}", file=sys.stderr)
            if until is not None and time.perf_counter() > until:
                pool.shutdown(wait=False, cancel_futures=True)
                break
    return records


def _read(kept: Path | None) -> dict[str, dict[str, Any]]:
    if kept is None or not kept.exists():
        return {}
    lines = kept.read_text(encoding="utf-8").splitlines()
    return {record["key"]: record for record in map(json.loads, lines)}


def _key(task: Work) -> str:
    return hashlib.sha256(repr(task).encode()).hexdigest()[:24]


def _second() -> str:
    """Name the second engine and its model in use."""
    if find_rescorer() is None:
        return "not installed"
    return f"ctranslate2 {metadata.version('ctranslate2')}, model whisper tiny.en"


def _cache() -> Path:
    home = os.environ.get("XDG_CACHE_HOME")
    return (Path(home) if home else Path.home() / ".cache") / "kitchenvoice-bench"


if __name__ == "__main__":
    main()
