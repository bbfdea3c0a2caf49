"""Rescoring by a second engine: Whisper's smallest English model, run by CTranslate2.

It scores the sentences that the first engine may have heard. Trained on other data, in another way, it makes other
errors. In noise its dictation is worse than that of the first engine, which knows what can be said, but between a few
sentences it chooses as well; what it gains is in `dialogue.thresholds`. It transcribes only what may be a note, which
is read back.

Optional: the ear works without it. Its files are checked before use, as the first engine's are, because they come from
a third party's package. Nothing here uses the network. English only.
"""

from __future__ import annotations

import atexit
import importlib
import importlib.util
import os
from collections.abc import Sequence
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from threading import Lock
from types import MappingProxyType
from typing import Any

import numpy as np

from kitchenvoice.audio.malloc import give_back_memory
from kitchenvoice.errors import ModelMissing
from kitchenvoice.hearing.recognise.log_mel import log_mel
from kitchenvoice.hearing.recognise.manifest import SECOND, read_manifest
from kitchenvoice.hearing.recognise.model_store import file_sha256, find_model
from kitchenvoice.ports import EAR_RATE_HZ, Rescoring, Samples

__all__ = ["FILES", "WITHOUT", "WhisperOpinion", "check_files", "find_rescorer", "model_files", "runtime_is_installed"]

FILES = MappingProxyType(
    {
        "config.json": "14b1b421a90349bc551b881461426b561a874049cb9e4c4864f2ca384f6a7cc5",
        "model.bin": "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a",
        "tokenizer.json": "929c5252409436dce1b38a75d1abbcb5e132d170d8e324e4e04ed915fa2d22df",
        "vocabulary.txt": "ff77588746d3a2595d32ab5b69ffd7b95ce2441ac57533cb66fc3eb575a115cf",
    }
)
"""SHA-256 of each file of the model with which the thresholds were measured."""

_ENGINE = ("ctranslate2", "tokenizers")
_START, _PLAIN = "<|startoftranscript|>", "<|notimestamps|>"
_LEAST = 1e-10
_CORES = 1
_LONGEST_S = 5.0
_SILENCE_S = 5
"""Silence after what is written down: without it one text in five was written twice or more (20 of 4 voices)."""
_MOST_TOKENS = 60
_KEPT_KERNELS = {"ONEDNN_PRIMITIVE_CACHE_CAPACITY": "1"}
"""The runtime's library caches compiled kernels for each length of sound and number of sentences, a thousand of them:
in 240 questions the process grew from 111 to 351 MB. With a cache of one, and free memory returned, it stays at 131 MB,
and they take as long."""
WITHOUT = "without it a little less is understood in loud noise"


@lru_cache(maxsize=1)
def find_rescorer() -> WhisperOpinion | None:
    """Return the rescorer of this process; `None` where it isn't installed."""
    folder = model_files()
    return None if folder is None else WhisperOpinion(folder)


def model_files() -> Path | None:
    """Return the folder of the model; `None` if it, or its runtime, isn't installed."""
    folder = find_model(read_manifest()[SECOND].name)
    return folder if folder.exists() and runtime_is_installed() else None


def runtime_is_installed() -> bool:
    """True if the packages of the extra `second`, without which the model is useless, are installed."""
    return all(importlib.util.find_spec(name) is not None for name in _ENGINE)


def check_files(folder: Path | None = None) -> str:
    """Return the second engine's state, after checking its files. Raises: ModelMissing if one is missing or altered."""
    place = folder or model_files()
    if place is None:
        if runtime_is_installed():
            return f"the second engine's model isn't here ({WITHOUT}; kitchenvoice fetch-model brings it)"
        return f"the second engine isn't installed ({WITHOUT}; scripts/setup, or pip with the extra second, brings it)"
    for name in FILES:
        if not _is_as_known(place / name):
            raise ModelMissing(
                f"The second engine's file {place / name} is missing or altered, so it isn't asked. "
                f"Run kitchenvoice fetch-model, or go on: {WITHOUT}."
            )
    return "the second engine's too"


def _is_as_known(file: Path) -> bool:
    try:
        return file_sha256(file) == FILES[file.name]
    except OSError:
        return False


class WhisperOpinion:
    """The second engine. Its model is loaded at the first question, which takes 0.4 s. Thread-safe.

    Half of that time no other thread of the program runs, so that the sound card loses sound: see `load`. At the end of
    the program a load that has begun is waited for; it would abort the process.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._reading = Lock()
        self._read = False
        self._model: _Model | None = None
        atexit.register(self._reading.acquire, timeout=_LONGEST_S)

    def load(self) -> bool:
        """Load the model now; False if the files aren't as they should be or it can't be read."""
        return self._ready() is not None

    def judge(self, samples: Samples, sentences: Sequence[str]) -> tuple[Rescoring, ...]:
        """Return the score of each sentence; nothing if the model can't be used, or fails."""
        model = self._ready() if sentences else None
        with suppress(RuntimeError, ValueError):
            return () if model is None else model.judge(samples, sentences)
        return ()

    def write_down(self, samples: Samples) -> str:
        """Return the words said, in print; nothing if the model can't be used, or fails. Takes some 0.15 s."""
        model = self._ready()
        with suppress(RuntimeError, ValueError):
            return "" if model is None else model.write_down(samples)
        return ""

    def _ready(self) -> _Model | None:
        with self._reading:
            if not self._read:
                self._read = True
                if all(_is_as_known(self._folder / name) for name in FILES):
                    with suppress(OSError, RuntimeError, ValueError, ImportError):
                        self._model = _Model(self._folder)
            return self._model


class _Model:
    def __init__(self, folder: Path) -> None:
        os.environ.update(_KEPT_KERNELS)
        runtime = importlib.import_module("ctranslate2")
        self._view = runtime.StorageView.from_array
        self._whisper = runtime.models.Whisper(str(folder), device="cpu", compute_type="int8", intra_threads=_CORES)
        self._tokens: Any = importlib.import_module("tokenizers").Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._start = [self._tokens.token_to_id(_START)]
        self._plain = [*self._start, self._tokens.token_to_id(_PLAIN)]

    def judge(self, samples: Samples, sentences: Sequence[str]) -> tuple[Rescoring, ...]:
        picture = log_mel(samples)
        heard = np.array(self._whisper.encode(self._view(np.ascontiguousarray(picture[None]))))
        beside = self._view(np.ascontiguousarray(np.repeat(heard, len(sentences), axis=0)))
        written = [self._tokens.encode(f" {sentence}", add_special_tokens=False).ids for sentence in sentences]
        told = self._whisper.align(beside, self._start, written, picture.shape[1])
        opinions = tuple(_opinion(each.text_token_probs) for each in told)
        del heard, beside, told
        give_back_memory()
        return opinions

    def write_down(self, samples: Samples) -> str:
        picture = log_mel(np.pad(samples, (0, _SILENCE_S * EAR_RATE_HZ)))
        view = self._view(np.ascontiguousarray(picture[None]))
        told = self._whisper.generate(view, [self._plain], max_length=_MOST_TOKENS)
        text = str(self._tokens.decode(told[0].sequences_ids[0])).strip()
        del view, told
        give_back_memory()
        return text


def _opinion(probabilities: Sequence[float]) -> Rescoring:
    logarithms = np.log(np.maximum(probabilities, _LEAST))
    return Rescoring(float(np.sum(logarithms)), float(np.mean(logarithms)))
