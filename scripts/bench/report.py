"""The report in Markdown: tables with N and intervals, two plots, and the obstacles to the targets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from bench.corpus import CONDITIONS
from bench.plots import accuracy_plot, curve_plot
from bench.stats import at_most_per_hour, percentile, share
from bench.summary import MOVES, Tally, by, tally, verdict

__all__ = ["write"]

Record = dict[str, Any]
_ORDER = [condition.name for condition in CONDITIONS]
_EARS = {
    "ear": "sentences, cleaned sound beside (the product)",
    "alone": "the product's, no second engine",
    "uncleaned": "sentences, no noise reduction",
    "stage": "phrase list of the stage, n-best",
    "big": "one big phrase list, n-best",
    "free": "free dictation, same parser",
}
_EAR_HEAD = "ear | condition | N | right | wrong but accepted | rejected | work / real time"
_TARGETS = (
    ("right", "clean", 98.0, 99.5),
    ("right", "20 dB", 96.0, 99.0),
    ("right", "3 m", 95.0, 98.0),
    ("right", "10 dB", 85.0, 93.0),
    ("right", "5 dB", 65.0, 80.0),
    ("right", "1 m + 20 dB", 90.0, 96.0),
)


def write(records: Sequence[Record], about: Record, folder: Path) -> Path:
    """Write `hearing.md` and its two SVG files; return the report's path."""
    folder.mkdir(parents=True, exist_ok=True)
    commands = [r for r in records if r["kind"] == "command" and r["expected"] is not None]
    ours = [r for r in commands if r["system"] == "ear"]
    accuracy_plot(_lines(commands), folder / "accuracy.svg")
    curve_plot(_curves(ours, records), folder / "miss_and_false_accept.svg")
    parts = [
        _head(about, ours, records),
        _targets(ours, records, about),
        _conditions(ours),
        "![share understood right under each condition](accuracy.svg)\n",
        _table("Ears side by side, the same clips", _EAR_HEAD, _side_by_side(commands)),
        _groups("Voices (all conditions)", "voice", ours, lambda r: f"{r['voice']} ({r['family']})"),
        _groups("Kinds of voice", "kind", ours, lambda r: str(r["family"])),
        _groups("Stages", "stage", ours, lambda r: str(r["stage"])),
        _groups("A person's recorded numbers, 0 to 99, as answers", "condition", _of(records, "human number"), _place),
        _talk(records),
        "![commands missed against other talk accepted](miss_and_false_accept.svg)\n",
        _times(ours),
        _costs(about),
        _mistakes(ours, records),
        _disputed(about),
    ]
    file = folder / "hearing.md"
    file.write_text("\n".join(part for part in parts if part), encoding="utf-8")
    return file


def _head(about: Record, ours: Sequence[Record], records: Sequence[Record]) -> str:
    hours = _hours(r for r in records if r["kind"] == "talk")
    return f"""# What the ear makes of a kitchen

Written by `scripts/bench_hearing --{about["form"]}`, seed {about["seed"]}: {len(ours)} commands into the
project's own ear, {hours:.2f} hours of other talk, {len(records)} of {about["planned"]} planned records in all,
{about["minutes"]:.0f} minutes of processor time on
{about["machine"]}. Engine {about["engine"]}, model {about["model"]}; second engine {about["second"]}.

**No real person spoke a command to it.** The voices are synthesisers ({about["voices"]}), the noise is
modelled, the room is a calculation (4.5 by 6.5 by 2.6 m, 0.45 s). Real accents, shouting over a hood and
worn-out microphones will be worse. The only person's voice is that of recorded telephone prompts (8,000 samples
a second), used as other talk and for numbers. "Right" means: one utterance accepted, intent and every slot as
they should be, and nothing else accepted. Figures in brackets are 95 % Wilson intervals. Noise is hood, steam,
rattle, clatter and tap together, going on before and after; its ratio is against the speech while it sounds.
"""


def _targets(ours: Sequence[Record], records: Sequence[Record], about: Record) -> str:
    groups = by(ours, _place)
    rows = []
    for _, condition, least, aim in _TARGETS:
        t = tally(groups.get(condition, []))
        rows.append(
            [f"right, {condition}", share(t.right, t.n), f"{least} / {aim} %", _mark(100 * t.right, t.n, least, aim)]
        )
    quiet = tally(r for name in _ORDER for r in groups.get(name, []) if name not in ("10 dB", "5 dB", "0 dB"))
    loud = tally(r for name in ("10 dB", "5 dB", "0 dB") for r in groups.get(name, []))
    for name, t, least, aim in (("20 dB and better", quiet, 0.5, 0.0), ("below 20 dB", loud, 3.0, 1.0)):
        rows.append([f"wrong, {name}", share(t.wrong, t.n), f"{least} / {aim} %", _low(100 * t.wrong, t.n, least, aim)])
    talk = [r for r in records if r["kind"] == "talk" and r["attention"] == "required"]
    rows.append(_talk_row(talk))
    rows.append(_noise_row(records))
    late = about["late"]
    for name, at, least, aim in (("median", 0.5, 0.5, 0.3), ("95 %", 0.95, 1.1, 0.9)):
        value = percentile(late, at)
        rows.append(
            [
                f"end of speech to decision, {name}",
                f"{value:.2f} s (N = {len(late)}, alone)",
                f"{least} / {aim} s",
                _low(value, 1, least, aim),
            ]
        )
    for name, key, unit, least, aim in (
        ("work while listening", "listening", "", 0.10, 0.05),
        ("work while decoding", "decoding", "", 0.15, 0.10),
        ("the same at 10 dB of noise", "decoding_noisy", "", 0.15, 0.10),
        ("start to listening", "start_s", " s", 2.5, 1.5),
        ("memory, this bench's process", "memory_mb", " MB", 500, 400),
    ):
        value = about[key]
        rows.append([name, f"{value:.3g}{unit}", f"{least} / {aim}{unit}", _low(value, 1, least, aim)])
    return _table("Targets", "what | measured | least / aim | reached", rows)


def _talk_row(talk: Sequence[Record]) -> list[str]:
    hours = _hours(talk)
    count = sum(len(r["accepted"]) for r in talk)
    moving = sum(a["intent"] in MOVES for r in talk for a in r["accepted"])
    rate = count / hours if hours else 0.0
    text = f"{rate:.2f} an hour ({count} in {hours:.2f} h, {moving} of them move something)"
    reached = (
        "**no**"
        if moving or rate > 0.5
        else "too little run to tell"
        if at_most_per_hour(count, hours) > 0.5
        else "aim"
    )
    return ["other talk accepted", f"{text}; 95 %: below {at_most_per_hour(count, hours):.2f}", "0.5 / 0", reached]


def _noise_row(records: Iterable[Record]) -> list[str]:
    noise = [r for r in records if r["kind"] == "noise"]
    minutes = 60 * _hours(noise)
    count = sum(len(r["accepted"]) for r in noise)
    reached = "**no**" if count else "aim" if minutes >= 59.5 else "too little run to tell"
    return ["noise alone accepted", f"{count} in {minutes:.0f} minutes", "0 in 60", reached]


def _conditions(ours: Sequence[Record]) -> str:
    groups = by(ours, _place)
    rows = []
    for name in _ORDER:
        if name in groups:
            t, best = tally(groups[name]), tally(groups[name], best_only=True)
            rows.append([name, *_cells(t), share(best.right, best.n)])
    return _table("Conditions", "condition | N | right | wrong but accepted | rejected | right, best text only", rows)


def _side_by_side(commands: Sequence[Record]) -> list[list[str]]:
    """Compare the ears only on clips that every one of them has heard."""
    heard = by(commands, _clip)
    common = [r for group in heard.values() if len({r["system"] for r in group}) == len(_EARS) for r in group]
    rows = []
    for system, name in _EARS.items():
        for condition, group in _sorted(by([r for r in common if r["system"] == system], _place)):
            t = tally(group)
            work = sum(r["cpu_s"] for r in group) / sum(r["audio_s"] for r in group)
            rows.append([name, condition, *_cells(t), f"{work:.3f}"])
            if system == "ear":
                best = tally(group, best_only=True)
                rows.append(["the product's, best text only", condition, *_cells(best), f"{work:.3f}"])
    return sorted(rows, key=lambda row: (_ORDER.index(row[1]),))


def _clip(r: Record) -> str:
    return f"{r['text']}|{r['voice']}|{r['condition']}|{r['stage']}"


def _groups(title: str, first: str, records: Sequence[Record], key: Callable[[Record], str]) -> str:
    rows = [[name, *_cells(tally(group))] for name, group in by(records, key).items()]
    head = f"{first} | N | right | wrong but accepted | rejected"
    return _table(title, head, sorted(rows)) if rows else ""


def _talk(records: Sequence[Record]) -> str:
    rows = []
    for name, group in sorted(by(_of(records, "talk"), lambda r: f"{r['attention']} | {r['talk']}").items()):
        rows.append([name, *_talk_cells(group)])
    for name, group in sorted(by(_of(records, "noise"), lambda r: f"{r['attention']} | {r['noise']} alone").items()):
        rows.append([name, *_talk_cells(group)])
    head = "attention | what | minutes | utterances | accepted | an hour (95 % bound) | moving a step, timer or count"
    text = "`optional` is the time while a question of ours is open: then answers count without the wake phrase.\n"
    return _table("Other talk and noise", head, rows) + "\n" + text


def _talk_cells(group: Sequence[Record]) -> list[str]:
    hours = _hours(group)
    accepted = [a for r in group for a in r["accepted"]]
    moving = sum(a["intent"] in MOVES for a in accepted)
    rate = f"{len(accepted) / hours:.1f} (below {at_most_per_hour(len(accepted), hours):.1f})"
    return [f"{60 * hours:.0f}", str(sum(r["utterances"] for r in group)), str(len(accepted)), rate, str(moving)]


def _times(ours: Sequence[Record]) -> str:
    rows = []
    for name, group in _sorted(by([r for r in ours if verdict(r) == "right"], _place)):
        late = [r["latency_s"] for r in group]
        rows.append([name, str(len(late)), f"{percentile(late, 0.5):.2f}", f"{percentile(late, 0.95):.2f}"])
    title = "End of speech to decision, seconds, with other processes of the bench beside it"
    return _table(title, "condition | N | median | 95 %", rows)


def _costs(about: Record) -> str:
    return f"""
## Work, memory, start

Listening to a hood: {about["listening"]:.3f} of real time on one core; decoding speech:
{about["decoding"]:.3f}, at 10 dB of noise, heard once, {about["decoding_noisy"]:.3f}.
From starting Python to listening, model and grammars loaded: {about["start_s"]:.1f} s
(median of three). Largest memory of a process of the bench: {about["memory_mb"]:.0f} MB, with the synthesisers,
every grammar and the open graph in it, which a kitchen doesn't have. Other work may have run on the machine.
"""


def _mistakes(ours: Sequence[Record], records: Sequence[Record]) -> str:
    lines = [
        f'- {r["condition"]}, {r["voice"]}, {r["stage"]}: "{r["text"]}" -> {r["heard"][0][0]!r}, {_short(r["meant"])}'
        for r in ours
        if verdict(r) == "wrong"
    ]
    for r in records:
        if r["kind"] in ("talk", "noise"):
            what = r.get("talk", r.get("noise"))
            lines += [f"- {what}, {r['attention']}: {a['text']!r}, {a['intent']} {a['slots']}" for a in r["accepted"]]
    shown = lines[:120]
    more = f"\n... and {len(lines) - 120} more." if len(lines) > 120 else ""
    return "\n## Everything that was accepted wrongly\n\n" + "\n".join(shown or ["Nothing."]) + more + "\n"


def _disputed(about: Record) -> str:
    if not about["disputed"]:
        return ""
    lines = "\n".join(f"- {line}" for line in about["disputed"])
    return f"\n## Left out: the grammar doesn't read these as the register asks\n\n{lines}\n"


def _curves(ours: Sequence[Record], records: Sequence[Record]) -> dict[str, list[tuple[float, float]]]:
    """Vary two thresholds: the number of alternatives tried, and the least confidence."""
    usual = [r for r in ours if r["condition"] in ("clean", "20 dB", "3 m", "1 m + 20 dB")]
    curves: dict[str, list[tuple[float, float]]] = {}
    for attention in ("required", "optional"):
        talk = [r for r in _of(records, "talk") if r["attention"] == attention]
        hours = _hours(talk)
        if not hours or not usual:
            continue
        points = []
        for least in (0.0, 0.2, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99):
            kept = sum(verdict(r) == "right" and max(r["confidence"], default=0.0) >= least for r in usual)
            false = sum(a["confidence"] >= least for r in talk for a in r["accepted"])
            points.append((false / hours, 1.0 - kept / len(usual)))
        curves[f"least confidence 0 to 0.99, attention {attention}"] = points
        best = tally(usual, best_only=True)
        false = sum(a["text"] == a["alternatives"][0] for r in talk for a in r["accepted"])
        curves[f"best text only, attention {attention}"] = [(false / hours, 1.0 - best.right / best.n)]
    return curves


def _lines(commands: Sequence[Record]) -> dict[str, dict[str, Tally]]:
    lines: dict[str, dict[str, Tally]] = {}
    for system, name in _EARS.items():
        own = _sorted(by([r for r in commands if r["system"] == system], _place))
        if own:
            lines[name] = {condition: tally(group) for condition, group in own}
        if own and system == "ear":
            lines["the product's, best text only"] = {c: tally(g, best_only=True) for c, g in own}
    return lines


def _sorted(groups: dict[str, list[Record]]) -> list[tuple[str, list[Record]]]:
    return sorted(groups.items(), key=lambda item: _ORDER.index(item[0]))


def _cells(t: Tally) -> list[str]:
    return [str(t.n), share(t.right, t.n), share(t.wrong, t.n), share(t.rejected, t.n)]


def _table(title: str, head: str, rows: Sequence[Sequence[str]]) -> str:
    columns = head.count("|") + 1
    lines = [f"| {head} |", "|" + " --- |" * columns, *(f"| {' | '.join(row)} |" for row in rows)]
    return f"\n## {title}\n\n" + "\n".join(lines) + "\n"


def _mark(hits: float, n: int, least: float, aim: float) -> str:
    if n == 0:
        return "not run"
    value = hits / n
    return "aim" if value >= aim else "least" if value >= least else "**no**"


def _low(value: float, n: int, least: float, aim: float) -> str:
    if n == 0:
        return "not run"
    value = value / n
    return "aim" if value <= aim else "least" if value <= least else "**no**"


def _short(meant: Sequence[Record]) -> str:
    return "; ".join(f"{m['intent']} {m['slots']}" for m in meant)


def _of(records: Iterable[Record], kind: str) -> list[Record]:
    return [r for r in records if r["kind"] == kind]


def _place(r: Record) -> str:
    return str(r["condition"])


def _hours(records: Iterable[Record]) -> float:
    return float(sum(r["audio_s"] for r in records)) / 3600.0
