"""The voice detector: deterministic, single-threaded, and clear about a processor that can't run it."""

from __future__ import annotations

import platform
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from kitchenvoice.errors import ModelMissing
from kitchenvoice.hearing import SileroDetector, vad
from kitchenvoice.hearing.vad import FRAME


def frames(count: int) -> list[np.ndarray]:
    rng = np.random.default_rng(3)
    return list((rng.standard_normal((count, FRAME)) * 0.05).astype(np.float32))


def test_a_stream_is_judged_the_same_after_a_reset_and_by_another_detector() -> None:
    first, second = SileroDetector(), SileroDetector()
    once = [first.probability(frame) for frame in frames(20)]
    first.reset()
    assert [first.probability(frame) for frame in frames(20)] == once
    assert [second.probability(frame) for frame in frames(20)] == once
    assert len(set(once)) > 1


def test_it_starts_no_threads_and_leaves_the_environment_as_it_was() -> None:
    code = """if True:
        import os, numpy
        from kitchenvoice.hearing import SileroDetector
        before, environment = len(os.listdir("/proc/self/task")), dict(os.environ)
        detector = SileroDetector()
        for _ in range(20):
            detector.probability(numpy.zeros(512, numpy.float32))
        assert dict(os.environ) == environment
        print(len(os.listdir("/proc/self/task")) - before)"""
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "0"


@pytest.mark.parametrize(
    ("machine", "flags", "runs"),
    [
        ("x86_64", "fpu sse4_2 avx avx2 f16c fma", True),
        ("x86_64", "fpu sse4_2 ssse3", False),
        ("aarch64", "fp asimd", True),
    ],
)
def test_a_processor_that_cannot_run_it_is_told_before_it_is_tried(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, machine: str, flags: str, runs: bool
) -> None:
    cpu_info = tmp_path / "cpuinfo"
    cpu_info.write_text(f"processor : 0\nflags : {flags}\n")
    monkeypatch.setattr(platform, "machine", lambda: machine)
    monkeypatch.setattr(vad, "_CPU_INFO", cpu_info)
    if runs:
        SileroDetector()
    else:
        with pytest.raises(ModelMissing, match="AVX2"):
            SileroDetector()
