"""Sound files: every ordinary kind gives the same sound, any other one sentence that names the file."""

from __future__ import annotations

import os
import struct
import tracemalloc
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kitchenvoice.errors import BadAudio
from kitchenvoice.hearing import WavSource, read_wav

_PCM, _FLOAT = 1, 3
_GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")
_PACK = {
    (_PCM, 8): lambda x: np.rint(x * 128 + 128).astype(np.uint8).tobytes(),
    (_PCM, 16): lambda x: np.rint(x * 32767).astype("<i2").tobytes(),
    (_PCM, 24): lambda x: np.rint(x * 8388607).astype("<i4").reshape(-1, 1).view(np.uint8)[:, :3].tobytes(),
    (_PCM, 32): lambda x: np.rint(x * 2147483520).astype("<i4").tobytes(),
    (_FLOAT, 32): lambda x: x.astype("<f4").tobytes(),
    (_FLOAT, 64): lambda x: x.astype("<f8").tobytes(),
}


def tone(rate_hz: int, seconds: float = 0.5) -> npt.NDArray[np.float64]:
    """440 Hz at half of full scale."""
    return 0.5 * np.sin(2 * np.pi * 440 * np.arange(round(rate_hz * seconds)) / rate_hz)


def wav(
    data: bytes,
    rate_hz: int = 16_000,
    kind: int = _PCM,
    bits: int = 16,
    channels: int = 1,
    announced: int | None = None,
    extensible: bool = False,
    whole: int | None = None,
    before: bytes = b"",
) -> bytes:
    """Return the bytes of a WAV file, valid or not."""
    frame = channels * bits // 8
    tag = 0xFFFE if extensible else kind
    form = struct.pack("<HHIIHH", tag, channels, rate_hz, rate_hz * frame % 2**32, frame, bits)
    if extensible:
        form += struct.pack("<HHIH", 22, bits, 0, kind) + _GUID_TAIL
    length = len(data) if announced is None else announced
    body = b"WAVE" + before + b"fmt " + struct.pack("<I", len(form)) + form + b"data" + struct.pack("<I", length) + data
    return b"RIFF" + struct.pack("<I", len(body) if whole is None else whole) + body


def kept(folder: Path, content: bytes) -> Path:
    path = folder / "sound.wav"
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("kind_bits", list(_PACK), ids=lambda k: f"{'float' if k[0] == _FLOAT else 'pcm'}{k[1]}")
@pytest.mark.parametrize("channels", [1, 2])
@pytest.mark.parametrize("extensible", [False, True], ids=["plain", "extensible"])
def test_every_ordinary_sample_format_gives_the_same_sound(
    tmp_path: Path, kind_bits: tuple[int, int], channels: int, extensible: bool
) -> None:
    kind, bits = kind_bits
    data = _PACK[kind_bits](np.repeat(tone(16_000), channels))
    heard = read_wav(kept(tmp_path, wav(data, kind=kind, bits=bits, channels=channels, extensible=extensible)))
    assert heard.dtype == np.int16
    assert len(heard) == 8000
    assert np.abs(heard / 32768.0 - tone(16_000)).max() < (0.006 if bits == 8 else 0.0002)


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000])
def test_every_ordinary_rate_becomes_16_khz(tmp_path: Path, rate_hz: int) -> None:
    heard = read_wav(kept(tmp_path, wav(_PACK[_PCM, 16](tone(rate_hz)), rate_hz)))
    assert abs(len(heard) - 8000) <= 1
    middle = slice(1000, 7000)
    assert np.abs(heard[middle] / 32768.0 - tone(16_000)[: len(heard)][middle]).max() < 0.01


def test_long_files_are_converted_in_pieces_without_a_seam(tmp_path: Path) -> None:
    heard = read_wav(kept(tmp_path, wav(_PACK[_PCM, 16](tone(48_000, 4.0)), 48_000)))
    assert np.abs(heard[500:-500] / 32768.0 - tone(16_000, 4.0)[500 : len(heard) - 500]).max() < 0.001


def test_two_channels_are_averaged(tmp_path: Path) -> None:
    both = np.column_stack([tone(16_000), np.zeros(8000)]).reshape(-1)
    heard = read_wav(kept(tmp_path, wav(_PACK[_PCM, 16](both), channels=2)))
    assert np.abs(heard / 32768.0 - tone(16_000) / 2).max() < 0.0001


@pytest.mark.parametrize("announced", [0xFFFF_FFFF, 0x7FFF_F000, 0x8000_0000])
def test_a_length_that_the_writer_did_not_know_yet_means_to_the_end(tmp_path: Path, announced: int) -> None:
    path = kept(tmp_path, wav(_PACK[_PCM, 16](tone(16_000)), announced=announced))
    assert len(read_wav(path)) == 8000


def test_zero_in_both_lengths_is_a_recording_in_progress(tmp_path: Path) -> None:
    path = kept(tmp_path, wav(_PACK[_PCM, 16](tone(16_000)), announced=0, whole=0))
    assert len(read_wav(path)) == 8000


def test_other_chunks_before_and_after_the_sound_are_passed_over(tmp_path: Path) -> None:
    content = wav(_PACK[_PCM, 16](tone(16_000)), before=b"LIST\x05\x00\x00\x00abcde\x00")
    assert len(read_wav(kept(tmp_path, content + b"note\x04\x00\x00\x00abcd"))) == 8000


def test_floats_over_full_scale_are_clipped_not_wrapped(tmp_path: Path) -> None:
    data = np.array([2.0, -2.0, 1e30, 0.25] * 100).astype("<f4").tobytes()
    heard = read_wav(kept(tmp_path, wav(data, kind=_FLOAT, bits=32)))
    assert heard[:4].tolist() == [32767, -32768, 32767, 8192]


_HALF = _PACK[_PCM, 16](tone(16_000))
_BAD = {
    "empty": (b"", "is empty"),
    "three_bytes": (b"RIF", "is not a WAV"),
    "text": (b"this is not a sound, it is a shopping list", "is not a WAV"),
    "big_endian": (b"RIFX" + wav(_HALF)[4:], "is not a WAV"),
    "head_only": (wav(_HALF)[:12], "holds no sound"),
    "no_data_chunk": (wav(_HALF)[:36], "holds no sound"),
    "no_samples": (wav(b""), "holds no sound"),
    "half_a_sample": (wav(b"\x01", announced=1), "holds no sound"),
    "truncated": (wav(_HALF)[:-2000], "is cut short"),
    "announces_too_much": (wav(_HALF, announced=60_000), "is cut short"),
    "data_before_format": (b"RIFF\x00\x00\x00\x00WAVEdata\x04\x00\x00\x00abcd", "sound before its format"),
    "short_format": (b"RIFF\x00\x00\x00\x00WAVEfmt \x04\x00\x00\x00abcd", "damaged header"),
    "not_a_number": (wav(np.full(99, np.nan).astype("<f4").tobytes(), kind=_FLOAT, bits=32), "not numbers"),
    "infinite": (wav(np.full(99, np.inf).astype("<f8").tobytes(), kind=_FLOAT, bits=64), "not numbers"),
    "a_law": (wav(_HALF, kind=6, bits=8), "can't be converted"),
    "compressed": (wav(_HALF, kind=0x55), "can't be converted"),
    "twelve_bit": (wav(_HALF, bits=40), "can't be converted"),
    "float_of_16_bit": (wav(_HALF, kind=_FLOAT, bits=16), "can't be converted"),
    "no_channel": (wav(_HALF, channels=0), "0 channels"),
    "many_channels": (wav(_HALF, channels=300), "300 channels"),
    "no_rate": (wav(_HALF, rate_hz=0), "0 samples a second"),
    "huge_rate": (wav(_HALF, rate_hz=4_000_000_000), "samples a second"),
    "chunks_without_end": (b"RIFF\x00\x00\x00\x00WAVE" + b"junk\x00\x00\x00\x00" * 5000 + wav(_HALF)[12:], "no sound"),
}


@pytest.mark.parametrize(("content", "sentence"), _BAD.values(), ids=list(_BAD))
def test_what_can_not_be_read_is_one_sentence_of_trouble(tmp_path: Path, content: bytes, sentence: str) -> None:
    path = kept(tmp_path, content)
    with pytest.raises(BadAudio, match=sentence) as caught:
        read_wav(path)
    assert str(path) in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_a_folder_and_a_pipe_are_refused_without_waiting(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.wav"
    os.mkfifo(pipe)
    for path, what in ((tmp_path / "none.wav", "does not exist"), (tmp_path, "not a file"), (pipe, "not a file")):
        with pytest.raises(BadAudio, match=what):
            read_wav(path)


def test_a_name_that_no_file_can_have_is_refused() -> None:
    for name in ("a\0b.wav", "x" * 5000 + ".wav"):
        with pytest.raises(BadAudio):
            read_wav(Path(name))


def test_hours_of_sound_are_refused_by_their_length_without_reading_them(tmp_path: Path) -> None:
    path = tmp_path / "hours.wav"
    with path.open("wb") as file:
        file.write(wav(b"", announced=0xFFFF_FFFF))
        file.truncate(2 * 16_000 * 3600 * 9)
    tracemalloc.start()
    with pytest.raises(BadAudio, match="longer than 30 minutes"):
        read_wav(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 1_000_000


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    edits=st.lists(st.tuples(st.integers(0, 59), st.integers(0, 255)), max_size=6),
    cut=st.integers(0, 400),
    extensible=st.booleans(),
)
def test_no_damage_to_a_header_gives_anything_but_sound_or_bad_audio(
    tmp_path: Path, edits: list[tuple[int, int]], cut: int, extensible: bool
) -> None:
    content = bytearray(wav(_HALF[:400], extensible=extensible))
    for position, value in edits:
        content[position] = value
    _sound_or_trouble(kept(tmp_path, bytes(content[: len(content) - cut])))


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=200), st.sampled_from([b"", b"RIFF\x24\x00\x00\x00WAVE", wav(b"", announced=0xFFFF_FFFF)]))
def test_no_bytes_at_all_give_anything_but_sound_or_bad_audio(tmp_path: Path, content: bytes, head: bytes) -> None:
    _sound_or_trouble(kept(tmp_path, head + content))


def _sound_or_trouble(path: Path) -> None:
    try:
        heard = read_wav(path)
    except BadAudio as trouble:
        assert str(path) in str(trouble)
    else:
        assert heard.dtype == np.int16
        assert 0 < len(heard) < 2000


def test_a_file_as_a_source_gives_blocks_of_20_ms_and_stops_when_closed(tmp_path: Path) -> None:
    path = kept(tmp_path, wav(_PACK[_PCM, 16](tone(16_000, 0.05))))
    assert [len(block) for block in WavSource(path).blocks()] == [320, 320, 160]
    source = WavSource(path)
    blocks = source.blocks()
    next(blocks)
    source.close()
    source.close()
    assert list(blocks) == []
