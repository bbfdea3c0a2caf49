"""Recordings of the hearing test, made on request only, in one folder that is easy to delete.

No other part of the program keeps sound. A file is named for the time and the words, so that the folder is readable
without the program: `20261125-205903 kitchen voice steam is steady.wav`.
"""

from __future__ import annotations

import contextlib
import io
import json
import wave
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path

from kitchenvoice.errors import BadAudio
from kitchenvoice.files import make_folder, read_small, replace_file
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["FOLDER", "Recordings"]

FOLDER = "recordings"
_STAMP = "%Y%m%d-%H%M%S"
_LAST = "last result.json"
_MOST_BYTES = 100_000


class Recordings:
    """The recordings of one kitchen; the folder is made with the first one and removed with the last."""

    def __init__(self, kitchen: Path) -> None:
        """Name the kitchen's folder; nothing is made yet."""
        self.folder = kitchen / FOLDER

    def keep(self, said: str, samples: Samples, when: datetime) -> Path:
        """Write one recording, readable by its owner only. Raises: BadAudio if the disk doesn't take it."""
        file = self.folder / f"{when.strftime(_STAMP)} {said}.wav"
        try:
            make_folder(self.folder)
            raw = io.BytesIO()
            with wave.open(raw, "wb") as out:
                out.setnchannels(1)
                out.setsampwidth(2)
                out.setframerate(EAR_RATE_HZ)
                out.writeframes(samples.astype("<i2").tobytes())
            replace_file(file, raw.getvalue())
        except OSError as exc:
            raise BadAudio(f"The recording could not be kept: {exc.strerror}. Look at {self.folder}.") from exc
        return file

    def all(self) -> Iterator[tuple[str, Path]]:
        """Yield the sentence asked for and the file, oldest first; files with other names are ignored."""
        for file in sorted(self.folder.glob("*.wav")):
            stamp, _, said = file.stem.partition(" ")
            with contextlib.suppress(ValueError):
                datetime.strptime(stamp, _STAMP)
                yield said, file

    def note(self, right: Mapping[str, bool]) -> None:
        """Keep, by sentence, whether it was understood; a disk that refuses costs the next comparison only."""
        with contextlib.suppress(OSError):
            make_folder(self.folder)
            replace_file(self.folder / _LAST, json.dumps(dict(right)).encode())

    def last(self) -> dict[str, bool]:
        """Return the last note; nothing if there is none, or it is damaged."""
        try:
            found = json.loads(read_small(self.folder / _LAST, _MOST_BYTES))
        except (OSError, ValueError):
            return {}
        return {said: right is True for said, right in found.items()} if isinstance(found, dict) else {}

    def delete(self) -> int:
        """Delete all of them, and the last result; return how many. Raises: BadAudio if one can't be deleted."""
        files = [file for _, file in self.all()]
        try:
            (self.folder / _LAST).unlink(missing_ok=True)
            for file in files:
                file.unlink()
            with contextlib.suppress(OSError):  # not empty: somebody put another file in it
                self.folder.rmdir()
        except OSError as exc:
            raise BadAudio(f"{exc.filename} could not be deleted: {exc.strerror}. Delete it by hand.") from exc
        return len(files)
