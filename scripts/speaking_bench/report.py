"""The report of the speaking bench as Markdown."""

from __future__ import annotations

from collections.abc import Sequence

from speaking_bench.barge_in import OwnVoice, Stopping
from speaking_bench.intelligibility import NOISE, SENTENCES, SNRS_DB, Cell

__all__ = ["barge_in", "clearness"]


def clearness(title: str, cells: Sequence[Cell]) -> list[str]:
    """Return a table of voices or rates."""
    head = " | ".join(f"{snr} dB" for snr in SNRS_DB)
    lines = [
        f"| {title} | {head} | STOI at {SNRS_DB[1]} / {SNRS_DB[3]} dB | seconds |",
        "|---" * (len(SNRS_DB) + 3) + "|",
    ]
    for cell in cells:
        right = " | ".join(f"{round(share * len(SENTENCES))}" for share in cell.understood)
        lines.append(f"| {cell.name} | {right} | {cell.stoi[1]:.2f} / {cell.stoi[3]:.2f} | {cell.seconds:.0f} |")
    return [*lines, "", f"Sentences of {len(SENTENCES)} told apart in {NOISE} noise; seconds for all of them.", ""]


def barge_in(
    own: dict[str, OwnVoice], stops: dict[tuple[str, float], Stopping], gains_db: Sequence[float]
) -> list[str]:
    """Return the table of barge-in: a row for each room, a column for each level of the cook."""
    head = " | ".join(f"cook {gain:+g} dB" for gain in gains_db)
    lines = [f"| room | obeyed itself | {head} | after the phrase, median / 95 % |", "|---" * (len(gains_db) + 3) + "|"]
    for room, heard in own.items():
        cells = [stops[room, gain] for gain in gains_db if (room, gain) in stops]
        shares = " | ".join(f"{len(cell.after_s)} of {cell.tried}" for cell in cells)
        after = cells[0].after_s if cells else ()
        times = f"{after[len(after) // 2]:.2f} / {after[int(0.95 * len(after))]:.2f} s" if after else ""
        lines.append(f"| {room} | {len(heard.obeyed)} in {heard.minutes:.0f} min | {shares} | {times} |")
    return [*lines, ""]
