"""Sound files: any ordinary WAV becomes 16 kHz mono samples, anything else an error of one sentence.

Limitations: plain and extensible WAV with integer (8, 16, 24, 32 bit) or float (32, 64 bit) samples. No compressed
sound, no big-endian and no 64 bit sizes. Channels are averaged. A header that announces more than there is counts as
damage, because half a sentence can mean something else; only the placeholders that programs write while the length is
unknown (zero or near the largest number) are taken as "to the end of the file".
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

import numpy as np
import numpy.typing as npt
import soxr

from kitchenvoice.errors import BadAudio
from kitchenvoice.hearing.thresholds import MAX_CHANNELS, MAX_FILE_S, MAX_RATE_HZ, MIN_RATE_HZ
from kitchenvoice.ports import EAR_RATE_HZ, Samples

__all__ = ["WavSource", "read_wav"]

BLOCK = 320
_CHUNK_FRAMES = 65_536
_PCM, _FLOAT, _EXTENSIBLE = 1, 3, 0xFFFE
_GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")
_MOST_CHUNKS = 1_000
_UNKNOWN_LENGTH = 0x7FFF_0000
"""Announced lengths from here on mean "unknown"; files that are really this long are refused anyway."""


@dataclass(frozen=True, slots=True)
class _Layout:
    """Layout of the samples in the file."""

    kind: int
    channels: int
    rate_hz: int
    sample_bytes: int
    start: int = 0
    frames: int = 0

    @property
    def frame_bytes(self) -> int:
        return self.channels * self.sample_bytes


class WavSource:
    """A sound file as an `AudioSource`: blocks of 20 ms, the last one shorter."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._closed = False

    def blocks(self) -> Iterator[Samples]:
        """Yield the file. Raises: BadAudio if it can't be read."""
        samples = read_wav(self._path)
        for start in range(0, len(samples), BLOCK):
            if self._closed:
                return
            yield samples[start : start + BLOCK]

    def close(self) -> None:
        """Stop."""
        self._closed = True


def read_wav(path: Path) -> Samples:
    """Return the file's sound at 16 kHz, mono, 16 bit. Raises: BadAudio with one sentence that names the file."""
    try:
        if not path.is_file():
            what = "is not a file" if path.exists() else "does not exist"
            raise BadAudio(f"{path} {what}. Name a WAV file.")
        with path.open("rb") as file:
            layout = _layout(file, path.stat().st_size, str(path))
            return _converted(file, layout, str(path))
    except (OSError, ValueError) as exc:
        if isinstance(exc, BadAudio):
            raise
        raise BadAudio(f"{path} can't be read. Check the name and the rights of the file.") from exc


def _layout(file: BinaryIO, size: int, name: str) -> _Layout:
    """Find format and samples; no length is trusted beyond the end of the file."""
    head = file.read(12)
    if not head:
        raise BadAudio(f"{name} is empty. Record it again.")
    if len(head) < 12 or head[:4] != b"RIFF" or head[8:] != b"WAVE":
        raise BadAudio(f"{name} is not a WAV file. Save the sound as WAV.")
    layout: _Layout | None = None
    position = 12
    for _ in range(_MOST_CHUNKS):
        if position + 8 > size:
            break
        file.seek(position)
        tag, length = struct.unpack("<4sI", file.read(8))
        position += 8
        if tag == b"fmt ":
            layout = _format(file.read(min(length, 40)), name)
        elif tag == b"data":
            if layout is None:
                raise BadAudio(f"{name} has sound before its format. Save the sound as WAV again.")
            return _measured(layout, head, position, length, size - position, name)
        position += length + length % 2
    raise BadAudio(f"{name} holds no sound. Record it again.")


def _format(chunk: bytes, name: str) -> _Layout:
    if len(chunk) < 16:
        raise BadAudio(f"{name} has a damaged header. Save the sound as WAV again.")
    kind, channels, rate_hz, _, frame_bytes, bits = struct.unpack("<HHIIHH", chunk[:16])
    if kind == _EXTENSIBLE and len(chunk) == 40 and chunk[26:] == _GUID_TAIL:
        (kind,) = struct.unpack("<H", chunk[24:26])
    if kind not in (_PCM, _FLOAT):
        raise BadAudio(f"{name} is a WAV of a kind that can't be converted. Save it with 16 bit samples.")
    if not 1 <= channels <= MAX_CHANNELS or frame_bytes % channels:
        raise BadAudio(f"{name} claims {channels} channels. Save it with one or two.")
    if not MIN_RATE_HZ <= rate_hz <= MAX_RATE_HZ:
        raise BadAudio(f"{name} claims {rate_hz} samples a second. Save it with 16,000.")
    sample_bytes = frame_bytes // channels
    fits = sample_bytes in ((1, 2, 3, 4) if kind == _PCM else (4, 8))
    if not fits or not 8 * (sample_bytes - 1) < bits <= 8 * sample_bytes:
        raise BadAudio(f"{name} claims {bits} bit samples that can't be converted. Save it with 16 bit samples.")
    return _Layout(kind, channels, rate_hz, sample_bytes)


def _measured(layout: _Layout, head: bytes, start: int, announced: int, there: int, name: str) -> _Layout:
    """Settle the actual length of the sound."""
    (whole,) = struct.unpack("<I", head[4:8])
    unknown = announced >= _UNKNOWN_LENGTH or (announced == 0 and (whole < start or whole >= _UNKNOWN_LENGTH))
    if not unknown and announced > there:
        raise BadAudio(f"{name} is cut short: its end is missing. Record or copy it again.")
    frames = (there if unknown else announced) // layout.frame_bytes
    if frames == 0:
        raise BadAudio(f"{name} holds no sound. Record it again.")
    if frames > MAX_FILE_S * layout.rate_hz:
        raise BadAudio(f"{name} is longer than {MAX_FILE_S / 60:.0f} minutes. Cut it into shorter files.")
    return _Layout(layout.kind, layout.channels, layout.rate_hz, layout.sample_bytes, start, frames)


def _converted(file: BinaryIO, layout: _Layout, name: str) -> Samples:
    """Read, mix down and resample chunk by chunk: memory stays near the size of the result."""
    resampler = soxr.ResampleStream(layout.rate_hz, EAR_RATE_HZ, 1, dtype="float32")
    pieces: list[Samples] = []
    file.seek(layout.start)
    left = layout.frames
    while left:
        raw = file.read(min(left, _CHUNK_FRAMES) * layout.frame_bytes)
        frames = len(raw) // layout.frame_bytes
        if frames == 0:
            raise BadAudio(f"{name} is cut short: its end is missing. Record or copy it again.")
        left -= frames
        mono = _mono(raw[: frames * layout.frame_bytes], layout)
        if not np.isfinite(mono).all():
            raise BadAudio(f"{name} holds values that are not numbers. Save the sound as WAV again.")
        if layout.rate_hz != EAR_RATE_HZ:
            mono = resampler.resample_chunk(mono, last=left == 0)
        pieces.append(np.clip(np.rint(mono * 32768.0), -32768, 32767).astype(np.int16))
    samples = np.concatenate(pieces)
    if len(samples) == 0:
        raise BadAudio(f"{name} holds no sound. Record it again.")
    return samples


def _mono(raw: bytes, layout: _Layout) -> npt.NDArray[np.float32]:
    """Convert bytes to float samples of -1 to 1, channels averaged."""
    if layout.kind == _FLOAT:
        with np.errstate(over="ignore", invalid="ignore"):
            wide = np.frombuffer(raw, dtype=f"<f{layout.sample_bytes}")
            values = np.where(np.isfinite(wide), np.clip(wide, -1.0, 1.0), np.nan).astype(np.float32)
    elif layout.sample_bytes == 1:
        values = (np.frombuffer(raw, dtype=np.uint8).astype(np.float32) - 128.0) / 128.0
    elif layout.sample_bytes == 3:
        bytes3 = np.frombuffer(raw, dtype=np.uint8).reshape(-1, 3)
        padded = np.zeros((len(bytes3), 4), dtype=np.uint8)
        padded[:, 1:] = bytes3
        values = padded.view("<i4").reshape(-1).astype(np.float32) / 2.0**31
    else:
        full = 2.0 ** (8 * layout.sample_bytes - 1)
        values = np.frombuffer(raw, dtype=f"<i{layout.sample_bytes}").astype(np.float32) / np.float32(full)
    mixed: npt.NDArray[np.float32] = values.reshape(-1, layout.channels).mean(axis=1, dtype=np.float32)
    return mixed
