"""The trace of a spoken session: what was heard, and when each sentence began to sound."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from kitchenvoice.app.trace import judged_again
from kitchenvoice.grammar import GrammarBook
from kitchenvoice.ports import Samples

from .kitchen import Kitchen

pytestmark = [pytest.mark.audio, pytest.mark.timeout(240)]


def test_a_spoken_sentence_and_its_answer_are_traced(
    kitchen: Kitchen, cook: Callable[[str], Samples], tmp_path: Path
) -> None:
    trace = tmp_path / "day.jsonl"
    kitchen.know_the_program()
    kitchen.set_pace(230, "brief")
    program = kitchen.start("--trace", str(trace))
    kitchen.speaker.wait_quiet(0.0)
    asked = kitchen.say(cook("kitchen voice start seven quarts of green beans raw pack"))
    read_back = program.wait_said("Is that right?", asked - 5.0)
    kitchen.speaker.wait_quiet(asked)
    told: list[dict[str, Any]] = [json.loads(line) for line in trace.read_text().splitlines()]
    start = next(line for line in told if line["kind"] == "start")
    assert "vosk" in start["engine"].lower()
    assert start["model"]
    assert "microphone: " in start["devices"]
    (heard,) = (line for line in told if line["kind"] == "utterance")
    assert heard["intent"] == "load_start"
    assert len(heard["posteriors"]) == len(heard["alternatives"]) > 0
    assert heard["above_noise_db"] > 10.0
    assert heard["level_dbfs"] < 0.0 < heard["latency_s"] < 5.0
    (queued,) = (line for line in told if line["kind"] == "queued" and line["text"] == read_back)
    (began,) = (line for line in told if line["kind"] == "began" and line["text"] == read_back)
    assert queued["t"] <= began["t"] < queued["t"] + 5.0
    (again,) = judged_again(trace, lambda _: GrammarBook.load())
    assert again["same"], again
