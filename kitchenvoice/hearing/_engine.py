"""The engine's two objects with their end put right, and the one model of the process."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import vosk

from kitchenvoice.errors import ModelMissing
from kitchenvoice.hearing.thresholds import SEARCH_WIDTHS

__all__ = ["Decoder", "SpeechModel", "load_model"]

vosk.SetLogLevel(-1)


class SpeechModel(vosk.Model):  # type: ignore[misc]  # the engine has no types
    """The model; its folder is `path`. At the interpreter's end it goes with the process, without a complaint."""

    def __init__(self, path: Path) -> None:
        super().__init__(str(path))

    def knows(self, word: str) -> bool:
        """Tell whether `word` is in the vocabulary. The graph's own symbols (#0, <eps>) are no words."""
        return bool(word) and word[0] not in "#<!" and int(self.vosk_model_find_word(word)) >= 0

    def __del__(self, ending: Callable[[], bool] = sys.is_finalizing) -> None:
        if not ending() and hasattr(self, "_handle"):
            super().__del__()


class Decoder(vosk.KaldiRecognizer):  # type: ignore[misc]
    """One decoder; at the interpreter's end it goes with the process."""

    def __del__(self, ending: Callable[[], bool] = sys.is_finalizing) -> None:
        if not ending() and hasattr(self, "_handle"):
            super().__del__()


@lru_cache(maxsize=1)
def load_model(folder: Path) -> SpeechModel:
    """Load the model, once for the process (0.7 to 0.9 s, 170 MB). Raises: ModelMissing."""
    if not (folder / "am" / "final.mdl").is_file():
        raise ModelMissing(f"There is no speech model in {folder}. Fetch the model again.")
    try:
        with TemporaryDirectory(prefix="kitchenvoice-model-") as overlay:
            return SpeechModel(_with_wide_search(folder, Path(overlay)))
    except Exception as exc:  # the engine raises nothing narrower
        raise ModelMissing(f"The speech model in {folder} can't be loaded. Fetch the model again.") from exc


def _with_wide_search(folder: Path, overlay: Path) -> Path:
    """Lay links to the files of the model into `overlay`, with our own search widths in its settings.

    The engine reads its search widths from a file of the model and offers no other way to set them.
    """
    for part in folder.iterdir():
        if part.name != "conf":
            (overlay / part.name).symlink_to(part)
    (overlay / "conf").mkdir()
    for part in (folder / "conf").iterdir():
        if part.name != "model.conf":
            (overlay / "conf" / part.name).symlink_to(part)
    settings = (folder / "conf" / "model.conf").read_text("utf-8").splitlines()
    kept = [line for line in settings if line.split("=")[0] not in SEARCH_WIDTHS]
    wide = [f"{name}={value}" for name, value in SEARCH_WIDTHS.items()]
    (overlay / "conf" / "model.conf").write_text("\n".join([*kept, *wide]) + "\n", "utf-8")
    return overlay
