"""The real voice: its speed, its memory, and its errors when it is missing."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

import pytest

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import Sound
from kitchenvoice.speaking import Pyttsx3Synthesiser
from kitchenvoice.speaking.espeak_engine import EngineThread, Request, shared_engine

pytestmark = pytest.mark.audio


class CountingEngine:
    """The shared engine with a record of its requests."""

    def __init__(self) -> None:
        self.asked: list[Request] = []
        self.voices = shared_engine().voices

    def render(self, request: Request, patience_s: float) -> Sound:
        self.asked.append(request)
        return shared_engine().render(request, patience_s)


def counting() -> tuple[Pyttsx3Synthesiser, CountingEngine]:
    engine = CountingEngine()
    return Pyttsx3Synthesiser(engine=lambda: engine), engine  # type: ignore[arg-type,return-value]


def test_a_sentence_is_rendered_once_and_then_remembered() -> None:
    voice, engine = counting()
    assert voice.render("one") is voice.render("one")
    assert len(engine.asked) == 1
    voice.set_rate_wpm(200)
    voice.render("one")
    assert len(engine.asked) == 2


def test_sentences_can_be_prepared() -> None:
    voice, engine = counting()
    assert voice.prepare(["one", "two"]) == 2
    voice.render("two")
    assert len(engine.asked) == 2


def test_what_is_spoken_is_made_for_the_ear() -> None:
    voice, engine = counting()
    voice.render("Leave 1/2 inch")
    assert engine.asked[0].text == "Leave half an inch"


def test_two_synthesisers_keep_their_own_voice_and_pace() -> None:
    first = Pyttsx3Synthesiser(rate_wpm=100)
    second = Pyttsx3Synthesiser(rate_wpm=200, voice="gmw/en")
    assert second.render("put seven jars in").seconds < 0.7 * first.render("put seven jars in").seconds
    assert "gmw/en-us" in first.name
    assert second.name.endswith("gmw/en")


def test_the_pace_is_kept_within_what_the_engine_takes() -> None:
    voice = Pyttsx3Synthesiser(rate_wpm=1)
    assert voice.rate_wpm == 80
    assert voice.render("seven").seconds > 0.2


def test_a_voice_can_be_named_by_the_last_part_of_its_identifier() -> None:
    assert Pyttsx3Synthesiser(voice="en-us").name == Pyttsx3Synthesiser(voice="gmw/en-us").name


def test_an_unknown_voice_is_refused_before_anything_is_said() -> None:
    with pytest.raises(VoiceMissing, match="no voice nosuch"):
        Pyttsx3Synthesiser(voice="nosuch")


def test_many_threads_at_once_all_get_their_own_sentence_and_no_file_stays(capfd: pytest.CaptureFixture[str]) -> None:
    voice = Pyttsx3Synthesiser()
    texts = [("jar " * count).strip() for count in range(1, 13)]
    sounds: dict[str, Sound] = {}

    def render(text: str) -> None:
        sounds[text] = voice.render(text)
        print("from a thread")  # noqa: T201 - what other threads print has to come through

    threads = [threading.Thread(target=render, args=(text,)) for text in texts]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20.0)
    lengths = [sounds[text].seconds for text in texts]
    assert lengths == sorted(lengths)
    assert not list(Path(tempfile.gettempdir()).glob(f"kitchenvoice-{os.getpid()}-*"))
    assert capfd.readouterr().out == "from a thread\n" * 12


class StuckDriver(EngineThread):
    """An engine whose work never ends."""

    def __init__(self) -> None:
        self.voices = shared_engine().voices
        self._unanswered = None
        self.put = 0
        self._requests = self  # type: ignore[assignment]


def test_an_engine_that_hangs_is_a_missing_voice_and_is_not_waited_for_again() -> None:
    stuck = StuckDriver()
    given: list[object] = []
    stuck.put = given.append  # type: ignore[assignment]
    voice = Pyttsx3Synthesiser(patience_s=0.05, engine=lambda: stuck)
    with pytest.raises(VoiceMissing, match="does not answer"):
        voice.render("hello")
    with pytest.raises(VoiceMissing, match="does not answer"):
        voice.render("again")
    assert voice.prepare(["x"]) == 0
    assert len(given) == 1


def start_without(variable: str, value: str) -> subprocess.CompletedProcess[str]:
    """Start the voice in a separate process with this in its environment."""
    code = (
        "from kitchenvoice.errors import VoiceMissing\n"
        "from kitchenvoice.speaking import Pyttsx3Synthesiser\n"
        "try:\n    Pyttsx3Synthesiser()\n"
        "except VoiceMissing as exc:\n    print('missing:', exc)\n"
    )
    environment = os.environ | {variable: value}
    command = [sys.executable, "-c", code]
    return subprocess.run(command, env=environment, capture_output=True, text=True, timeout=60, check=False)


def test_missing_data_files_are_named_instead_of_ending_the_process(tmp_path: Path) -> None:
    done = start_without("ESPEAK_DATA_PATH", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert done.stdout == (
        "missing: There is no voice, because espeak-ng is not installed. Run: apt-get install espeak-ng\n"
    )


def test_a_missing_library_names_the_package(tmp_path: Path) -> None:
    (tmp_path / "libespeak-ng.so.1").write_text("not a library")
    done = start_without("LD_LIBRARY_PATH", str(tmp_path))
    assert done.returncode == 0, done.stderr
    assert "apt-get install espeak-ng" in done.stdout
