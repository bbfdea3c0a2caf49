"""`kitchenvoice hear` as a pipe sees it, with the real engine."""

from __future__ import annotations

import json
import sys
import wave
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soxr

from kitchenvoice import cli
from kitchenvoice.ports import EAR_RATE_HZ, Samples
from kitchenvoice.rehearsal.cook import voice

pytestmark = pytest.mark.audio

FIELDS = {
    "file", "text", "intent", "slots", "confidence", "reject_reason", "audio_s", "latency_s", "engine", "model",
}  # fmt: skip


def write(path: Path, samples: Samples, rate_hz: int = EAR_RATE_HZ, channels: int = 1, width: int = 2) -> Path:
    """Write a WAV file of any kind."""
    data = samples if width == 2 else ((samples.astype(np.int32) >> 8) + 128).astype(np.uint8)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate_hz)
        file.writeframes(np.repeat(data, channels).tobytes())
    return path


@pytest.fixture(scope="module")
def spoken() -> Samples:
    return voice("flite slt").say("kitchen voice pressure is eleven")


def hear(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], *words: str | Path
) -> tuple[int, list[dict[str, Any]], str]:
    """Run the command; return exit code, objects and standard error."""
    monkeypatch.setattr(sys, "argv", ["kitchenvoice", "hear", *map(str, words)])
    with pytest.raises(SystemExit) as ended:
        cli.main()
    out, err = capsys.readouterr()
    assert isinstance(ended.value.code, int)
    return ended.value.code, [json.loads(line) for line in out.splitlines()], err


def test_every_kind_of_file_is_one_object_in_order_and_what_can_be_converted_is(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], spoken: Samples, tmp_path: Path
) -> None:
    wide = soxr.resample(spoken, EAR_RATE_HZ, 48_000)
    (tmp_path / "text.wav").write_text("this is no sound")
    (tmp_path / "nothing.wav").write_bytes(b"")
    files = [
        write(tmp_path / "plain.wav", spoken),
        tmp_path / "text.wav",
        write(tmp_path / "eight bit.wav", spoken, width=1),
        tmp_path / "nothing.wav",
        write(tmp_path / "wide.wav", wide, 48_000, channels=2),
        tmp_path / "absent.wav",
        write(tmp_path / "empty.wav", spoken[:0]),
        write(tmp_path / "silent.wav", np.zeros(EAR_RATE_HZ, dtype=np.int16)),
        tmp_path,
    ]
    code, objects, err = hear(monkeypatch, capsys, *files)
    assert code == 2
    assert [one["file"] for one in objects] == [str(file) for file in files]
    assert all(set(one) == FIELDS for one in objects)
    for place in (0, 2, 4):
        assert (objects[place]["intent"], objects[place]["slots"]) == ("pressure_is", {"pressure": 11.0})
        assert objects[place]["reject_reason"] is None
        assert 0.0 < objects[place]["latency_s"] < 20.0
        assert objects[place]["audio_s"] == pytest.approx(len(spoken) / EAR_RATE_HZ, abs=0.01)
    unreadable = [one["file"] for one in objects if one["reject_reason"] == "unreadable"]
    assert unreadable == [str(files[place]) for place in (1, 3, 5, 6, 8)]
    assert len(err.splitlines()) == len(unreadable)
    assert all(name in line for name, line in zip(unreadable, err.splitlines(), strict=True))
    assert "Traceback" not in err
    assert (objects[7]["intent"], objects[7]["reject_reason"]) == (None, "silence")


def test_the_wake_phrase_is_required_unless_told_otherwise(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    bare = write(tmp_path / "bare.wav", voice("flite slt").say("pressure is eleven"))
    _, (strict,), _ = hear(monkeypatch, capsys, bare)
    assert strict["intent"] is None
    code, (free,), err = hear(monkeypatch, capsys, "--attention", "optional", "--state", "hold", bare)
    assert (code, free["intent"], free["slots"], err) == (0, "pressure_is", {"pressure": 11.0}, "")


def test_a_bare_number_with_a_unit_of_two_kinds_is_that_number(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    said = write(tmp_path / "nine.wav", voice("flite slt").say("nine pounds"))
    code, (found,), err = hear(monkeypatch, capsys, "--attention", "optional", "--state", "count", said)
    assert (code, err) == (0, "")
    assert (found["intent"], found["slots"], found["reject_reason"]) == ("number", {"value": 9}, None), found
