"""`kitchenvoice hear`: recognition of sound files, one JSON object a file."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from kitchenvoice.errors import BadAudio
from kitchenvoice.grammar import STAGES
from kitchenvoice.terminal import Printer, complain

if TYPE_CHECKING:
    from kitchenvoice.dialogue.understand import Understanding
    from kitchenvoice.grammar import Grammar, GrammarBook
    from kitchenvoice.ports import Recogniser, Utterance

__all__ = ["hear_command"]


@click.command("hear")
@click.option("--state", type=click.Choice(STAGES), help="The stage whose phrases are live; all of them without it.")
@click.option(
    "--attention",
    type=click.Choice(["required", "optional"]),
    default="required",
    show_default=True,
    help="Whether the wake phrase must come first. Optional is what holds while a question is open.",
)
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
@click.option(
    "--trace",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Judge the utterances of a trace of kitchenvoice start again, by the present rules.",
)
@click.argument("files", nargs=-1, type=click.Path(path_type=Path), metavar="FILE.wav...")
def hear_command(state: str | None, attention: str, as_json: bool, trace: Path | None, files: tuple[Path, ...]) -> int:
    """Tell what WAV files are heard as. Prints text, intent and slots of each, as the live session takes it."""
    if (trace is None) is not bool(files):
        raise click.UsageError("Missing argument 'FILE.wav...', or --trace alone.")
    if trace is not None:
        return _judge_again(trace, Printer(True if as_json else None))
    from kitchenvoice.app.compose import ear_for_files
    from kitchenvoice.grammar import GrammarBook
    from kitchenvoice.hearing import SileroDetector, hear_samples, read_wav

    with ThreadPoolExecutor(1) as beside:  # to verify and load the model takes a while
        loading = beside.submit(ear_for_files)
        live, commands = _grammars(GrammarBook.load(), state, attention)
        detector, ear = SileroDetector(), loading.result()
    printer = Printer(True if as_json else None)
    code = 0
    for file in files:
        try:
            samples = read_wav(file)
        except BadAudio as exc:
            complain(str(exc))
            code = exc.exit_code
            printer.put(_unreadable(file, ear.first))
            continue
        utterances = hear_samples(
            samples,
            ear.first,
            live,
            detector,
            cleaned=ear.cleaned,
            again=ear.again,
            second=ear.second,
            answers=ear.answers,
        )
        fields = _result(file, utterances, live, commands, ear.first, len(samples) / 16_000)
        printer.put(fields, f"{file}: {fields['text'] or '(nothing)'} -> {fields['intent']} {fields['slots']}")
    return code


def _judge_again(trace: Path, printer: Printer) -> int:
    from kitchenvoice.app.compose import kitchen_profile
    from kitchenvoice.app.languages import book_for
    from kitchenvoice.app.trace import judged_again

    for told in judged_again(trace, lambda language: book_for(kitchen_profile(language)[1])):
        changed = "" if told["same"] else f"   (was {told['was']})"
        heard = f"{told['text'] or '(nothing)'} -> {told['intent'] or told['reject_reason']} {told['slots']}"
        printer.put(told, f"{told['t']}: {heard}{changed}")
    return 0


def _grammars(book: GrammarBook, state: str | None, attention: str) -> tuple[Grammar, Grammar]:
    """Return the grammar that listens, and the one of commands alone: a command comes before a bare answer."""
    stages = (state,) if state is not None else STAGES
    if attention == "required":
        grammar = book.grammar(stages, attention="required")
        return grammar, grammar
    return (
        book.grammar(stages, attention="optional", question="any"),
        book.grammar(stages, attention="optional"),
    )


def _result(
    file: Path,
    utterances: tuple[Utterance, ...],
    live: Grammar,
    commands: Grammar,
    recogniser: Recogniser,
    audio_s: float,
) -> dict[str, Any]:
    utterance, understood = _first_understood(utterances, live, commands)
    return {
        "file": str(file),
        "text": understood.text if understood is not None else "",
        "intent": understood.intent if understood is not None else None,
        "slots": dict(understood.slots) if understood is not None else {},
        "confidence": round(understood.confidence, 3) if understood is not None else 0.0,
        "reject_reason": understood.reject_reason if understood is not None else "silence",
        "audio_s": round(audio_s, 3),
        "latency_s": round(utterance.latency_s, 3) if utterance is not None else None,
        "engine": recogniser.engine,
        "model": recogniser.model,
    }


def _unreadable(file: Path, recogniser: Recogniser) -> dict[str, Any]:
    """Return the object of a file that can't be read: one a file, whatever becomes of it."""
    return {
        "file": str(file),
        "text": "",
        "intent": None,
        "slots": {},
        "confidence": 0.0,
        "reject_reason": "unreadable",
        "audio_s": None,
        "latency_s": None,
        "engine": recogniser.engine,
        "model": recogniser.model,
    }


def _first_understood(
    utterances: tuple[Utterance, ...], live: Grammar, commands: Grammar
) -> tuple[Utterance | None, Understanding | None]:
    from kitchenvoice.dialogue.understand import understand

    told = [(each, _command_first(each, live, commands)) for each in utterances]
    accepted = [pair for pair in told if pair[1].intent not in (None, "attention")]
    if accepted:
        return accepted[0]
    if not told:
        return None, None
    return max(told, key=lambda pair: (pair[1].intent is not None, len(understand(pair[0], live).text)))


def _command_first(utterance: Utterance, live: Grammar, commands: Grammar) -> Understanding:
    from kitchenvoice.dialogue.understand import understand

    understood = understand(utterance, live)
    if understood.intent in ("number", "choice") and commands.is_sentence(understood.text):
        return understand(utterance, commands)
    return _any_number(understood, live) if understood.reject_reason == "ambiguous" else understood


def _any_number(ambiguous: Understanding, live: Grammar) -> Understanding:
    """Take nine pounds, of pressure or of beans, for nine: here nobody has asked for the one or the other."""
    readings = live.parse(ambiguous.text)
    values = {reading.slots.get("value") for reading in readings}
    if len(values) != 1 or any(reading.intent != "number" for reading in readings):
        return ambiguous
    return replace(ambiguous, intent="number", slots={"value": values.pop()}, reject_reason=None)
