"""The report of real people beside synthetic voices, in Markdown; the two are never added up."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from bench.real import CONDITIONS
from bench.stats import share

__all__ = ["write_real"]

Record = dict[str, Any]
_SOURCES = ("real", "synthetic")
_KINDS = {
    "number": ("Bare numbers over an open question", ("right", "asked", "wrong")),
    "order": ("Orders, by a grammar that isn't ours", ("right", "asked", "wrong")),
    "other": ("Words and orders that aren't for us, over an open question", ("quiet", "acted")),
}


def write_real(records: Sequence[Record], about: Record, folder: Path) -> Path:
    """Write `real.md`; return its path."""
    folder.mkdir(parents=True, exist_ok=True)
    parts = [_head(about), *(_verdicts(kind, records) for kind in _KINDS), _detected(records), _wrong(records)]
    file = folder / "real.md"
    file.write_text("\n\n".join(part for part in parts if part) + "\n", encoding="utf-8")
    return file


def _head(about: Record) -> str:
    return f"""# Real people beside synthetic voices

Written by `scripts/bench_hearing --real DIR --every {about["every"]}`: the whole ear (voice detector, recognisers,
ear for the answers, second engine: {about["second"]}).
The same words by synthetic voices stand beside them; neither is part of the other:
{about["voices"]}.
The folder isn't part of the project. Such recordings are free: single words of the Speech Commands set (CC BY 4.0),
whole sentences and wake words of open speech-to-intent and wake-word benchmarks (Apache-2.0), with a real kitchen's
noise. Noise is mixed loudest frame (128 ms) against loudest frame: real noise for real people, modelled for the others.
`cut close` leaves no silence around the word, `clipped` is 16 dB over the usual level, `soft` is -48 dBFS."""


def _verdicts(kind: str, records: Sequence[Record]) -> str:
    title, verdicts = _KINDS[kind]
    columns = [f"{source}: {verdict}" for source in _SOURCES for verdict in ("N", *verdicts)]
    rows = []
    for condition in CONDITIONS:
        cells = [condition]
        for source in _SOURCES:
            found = _of(records, kind=kind, condition=condition, source=source)
            told = Counter(record["verdict"] for record in found)
            first = share(told[verdicts[0]], len(found))
            cells += [str(len(found)), first, *(str(told[verdict]) for verdict in verdicts[1:])]
        if cells[1] != "0":
            rows.append(cells)
    return f"## {title}\n\n{_table(['condition', *columns], rows)}" if rows else ""


def _detected(records: Sequence[Record]) -> str:
    """Detector and level: voices that were missed or cut in two, faults of the sound that were told."""
    rows = []
    for condition in CONDITIONS:
        cells = [condition]
        for source in _SOURCES:
            found = _of(records, kind="number", condition=condition, source=source)
            faults = Counter(fault for record in found for fault in record["trouble"] if fault)
            cells += [
                str(len(found)),
                str(sum(record["detected"] == 0 for record in found)),
                str(sum(record["detected"] > 1 for record in found)),
                ", ".join(f"{fault} {count}" for fault, count in faults.items()),
            ]
        rows.append(cells)
    columns = [f"{source}: {name}" for source in _SOURCES for name in ("N", "missed", "split", "faults told")]
    return f"## Detector and level, on the bare numbers\n\n{_table(['condition', *columns], rows)}"


def _wrong(records: Sequence[Record]) -> str:
    lines = [
        f"- {record['source']}, {record['condition']}: {record['said'] or record['speech']} -> {record['acted']}"
        for record in records
        if record["verdict"] in ("wrong", "acted")
    ]
    return "\n".join(["## Everything that was taken wrongly", "", *(lines or ["Nothing."])])


def _of(records: Iterable[Record], **wanted: str) -> list[Record]:
    fits: Callable[[Record], bool] = lambda record: all(record[key] == value for key, value in wanted.items())  # noqa: E731
    return list(filter(fits, records))


def _table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)
