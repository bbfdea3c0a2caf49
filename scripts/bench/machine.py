"""Resources of the ear: work while listening and while decoding, memory, start-up."""

from __future__ import annotations

import os
import platform
import resource
import subprocess
import sys
import time

from bench import ear
from bench.corpus import CONDITIONS, place
from kitchenvoice.grammar import Grammar
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import DEMO_COOK, voice
from kitchenvoice.rehearsal.kitchen_noise import kitchen_noise

__all__ = ["costs"]

_START = """
from bench import ear
from kitchenvoice.ports import EAR_RATE_HZ
import numpy as np
grammar = ear.grammar_for(("idle",), "required", None)
list(ear.listen("ear", np.ones(512, np.int16), grammar))
"""


def costs() -> dict[str, float | str]:
    """Measure on this machine, one process, one core."""
    grammar = ear.grammar_for(("hold",), "required", None)
    list(ear.listen("ear", kitchen_noise("hood", 1.0, 1), grammar))
    quiet = kitchen_noise("hood", 60.0, 2)
    speech = voice(DEMO_COOK).say("kitchen voice how long is left on load two")
    listening = _cpu(lambda: list(ear.listen("ear", quiet, grammar))) / 60.0
    noisy = place(speech, next(each for each in CONDITIONS if each.name == "10 dB"), 3, after_s=0.5).samples
    return {
        "machine": f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}",
        "listening": listening,
        "decoding": _decoding(speech, grammar),
        "decoding_noisy": _decoding(noisy, grammar),
        "start_s": _start_s(),
        "memory_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0,
    }


def _decoding(speech: Samples, grammar: Grammar) -> float:
    return _cpu(lambda: [list(ear.listen("ear", speech, grammar)) for _ in range(10)]) / (
        10 * len(speech) / EAR_RATE_HZ
    )


def _cpu(work: object) -> float:
    before = time.process_time()
    work()  # type: ignore[operator]
    return time.process_time() - before


def _start_s() -> float:
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    taken = []
    for _ in range(3):
        before = time.perf_counter()
        subprocess.run([sys.executable, "-c", _START], check=True, env=environment, capture_output=True)
        taken.append(time.perf_counter() - before)
    return sorted(taken)[1]
