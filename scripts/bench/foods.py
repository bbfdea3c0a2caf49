"""Every name of a food by ear: in a sentence, in quiet, by several voices, through the whole ear; and its report."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from pathlib import Path
from typing import Any, Literal

from bench import ear
from bench.corpus import CONDITIONS, place, spoken
from bench.stats import share
from bench.summary import by, tally, verdict
from kitchenvoice.dialogue.understand import understand
from kitchenvoice.grammar.foods import reference_foods, reference_groups
from kitchenvoice.ports import Utterance
from kitchenvoice.reference.names import foods
from kitchenvoice.rehearsal.cook import Cook, voices

__all__ = ["FoodTask", "food_tasks", "write_foods"]

Record = dict[str, Any]
Kind = Literal["food", "group", "refused"]
_BARE = "{}"
_SENTENCES = ("kitchen voice start seven pints of {}", _BARE, "kitchen voice i want to can {}")
_KINDS: Mapping[Kind, str] = {
    "food": "of a food with a table",
    "group": "of several, asked which",
    "refused": "of a food without a table",
}
_VOICES = (("flite rms", "flite awb", "flite slt"), ("flite kal", "neural"), ("espeak f3", "espeak m3", "espeak f1"))


@dataclass(frozen=True, slots=True)
class FoodTask:
    """One name in one sentence, or as the answer to "which food?", by one voice in quiet."""

    name: str
    kind: Kind
    sentence: str
    cook: Cook
    seed: int
    cache: Path

    def run(self) -> Record:
        """Return what was expected, heard and taken."""
        said = self.sentence.format(self.name)
        grammar = ear.grammar_for(("idle",), "answers", "food" if self.sentence == _BARE else None)
        clip = place(spoken(self.cook, said, 1.0, self.cache), CONDITIONS[0], self.seed, before_s=0.5, after_s=1.0)
        decisions = list(ear.listen("ear", clip.samples, grammar))
        meant = [read for each in decisions if (read := ear.meant(each.understanding)) is not None]
        return {
            "name": self.name, "kind": self.kind, "sentence": self.sentence, "voice": self.cook.name, "meant": meant,
            "expected": ear.meant(understand(Utterance((said,)), grammar)), "detected": len(decisions),
            "heard": [list(each.utterance.alternatives[:4]) for each in decisions],
            "shares": [list(each.utterance.posteriors[:4]) for each in decisions],
            "reasons": [each.understanding.reject_reason for each in decisions],
        }  # fmt: skip


def food_tasks(cache: Path, every: int) -> list[FoodTask]:
    """Return every so many-th name three times: each time by another voice in another sentence; the foods first."""
    here = {cook.name: cook for cook in voices()}
    rounds = [[here[name] for name in names if name in here] for names in _VOICES]
    return [
        FoodTask(name, kind, sentence, cooks[number // every % len(cooks)], number, cache)
        for sentence, cooks in zip(_SENTENCES, rounds, strict=True)
        for number, (name, kind) in enumerate(_names())
        if number % every == 0
    ]


def _names() -> Iterator[tuple[str, Kind]]:
    tabled, groups, names = {food.id for food in foods()}, reference_groups(), reference_foods()
    for kind in _KINDS:
        for name, target in names.items():
            if kind == ("food" if target in tabled else "group" if target in groups else "refused"):
                yield name, kind


def write_foods(records: Sequence[Record], about: Record, folder: Path) -> Path:
    """Write `foods.md`; return its path."""
    rows = [_row(_KINDS[kind], [record for record in records if record["kind"] == kind]) for kind in _KINDS] + [
        _row("all", records)
    ]
    rows += [_row(said.format("..."), found) for said, found in by(records, itemgetter("sentence")).items()]
    rows += [_row(voice, found) for voice, found in by(records, itemgetter("voice")).items()]
    missed = by((record for record in records if verdict(record) != "right"), itemgetter("name"))
    lines = [f"- {name}: {'; '.join(map(_told, found))}" for name, found in sorted(missed.items())]
    text = f"""# Names of foods by ear

Written by `scripts/bench_hearing --foods`: every name of a food that the ear listens for, in quiet, each time by
another synthetic voice: in two sentences, and bare, as the answer to "which food?".
The whole ear, second engine: {about["second"]}. Right: the whole meaning, count and jar too.

| names | N | right | wrong | asked again | not heard |
| --- | --- | --- | --- | --- | --- |
""" + "\n".join(rows)
    file = folder / "foods.md"
    file.write_text("\n".join([text, "", "## Each name that wasn't right every time", "", *lines, ""]), "utf-8")
    return file


def _row(title: str, records: Sequence[Record]) -> str:
    counted = tally(records)
    unheard = sum(record["detected"] == 0 for record in records)
    right = share(counted.right, counted.n)
    return f"| {title} | {counted.n} | {right} | {counted.wrong} | {counted.rejected - unheard} | {unheard} |"


def _told(record: Record) -> str:
    best = record["heard"][0][0] if record["heard"] and record["heard"][0] else ""
    return f'{verdict(record)} by {record["voice"]}, "{best.removeprefix("kitchen voice ")}"'
