"""`kitchenvoice rehearse` and `kitchenvoice demo`: a scripted day on a simulated clock."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from importlib.resources import as_file, files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from kitchenvoice.cli.short_text import require_number
from kitchenvoice.errors import BadInput, KitchenVoiceError
from kitchenvoice.files import make_folder, write_out
from kitchenvoice.terminal import Printer, complain

if TYPE_CHECKING:
    from kitchenvoice.kitchen.profile import Profile
    from kitchenvoice.rehearsal.sounding import FileMouth, NoisyEar
    from kitchenvoice.rehearsal.stage import Rehearsal, TranscriptEntry

__all__ = ["demo_command", "rehearse_command"]

EXPECTATIONS_FAILED = 6


@click.command("rehearse")
@click.option("--audio", is_flag=True, help="Speak, mix with kitchen noise, recognise, and synthesise the answers.")
@click.option("--out", type=click.Path(path_type=Path), help="Folder for transcript, log and WAV files.")
@click.option("--snr", "snr_db", type=float, default=20.0, show_default=True, help="Voice over noise, in dB (audio).")
@click.option("--language", help="Another language than the profile's: de, in words only.")
@click.option("--clean", is_flag=True, help="No kitchen noise (audio).")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
@click.argument("scenario", type=click.Path(path_type=Path))
def rehearse_command(
    scenario: Path,
    audio: bool,
    out: Path | None,
    snr_db: float,
    language: str | None,
    clean: bool,
    as_json: bool,
) -> int:
    """Run a scripted day, through the same program as a live one."""
    from kitchenvoice.app.languages import in_language

    require_number("--snr", snr_db)
    printer = Printer(True if as_json else None)
    profile = in_language(_kitchen(), language)
    with TemporaryDirectory() as folder:
        return _play(scenario, profile, out or Path(folder), audio, None if clean else snr_db, printer)


@click.command("demo")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("out/demo"),
    show_default=True,
    help="Folder for all that comes of it.",
)
@click.option("--no-play", is_flag=True, help="Don't play the answers on the speaker afterwards.")
@click.option("--text", is_flag=True, help="Without sound: words only.")
def demo_command(out: Path, no_play: bool, text: bool) -> int:
    """Show a whole canning day. A synthetic cook speaks in a noisy kitchen; ear, engine and answers are real."""
    from kitchenvoice.clock import SystemClock
    from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN

    started = SystemClock().now().elapsed
    with as_file(files("kitchenvoice.rehearsal").joinpath("scenarios/demo.txt")) as scenario:
        code = _play(scenario, PRACTICE_KITCHEN, out, not text, 20.0, Printer(False))
    click.echo(f"Done in {SystemClock().now().elapsed - started:.0f} s. Transcript, log and sound are in {out}.")
    if not no_play and not text and not os.environ.get("CI"):
        click.echo(f"To listen: play the WAV files in {out / 'wav'} in the order of their names.")
    return code


def _play(scenario: Path, profile: Profile, out: Path, audio: bool, snr_db: float | None, printer: Printer) -> int:
    from kitchenvoice.app.described import described
    from kitchenvoice.app.languages import book_for
    from kitchenvoice.logbook import SqliteLog
    from kitchenvoice.rehearsal.scenario import read_scenario
    from kitchenvoice.rehearsal.stage import Rehearsal

    script = read_scenario(scenario)
    with _writing(out):
        _make_room(out)
        ear, mouth = _sound(out, snr_db, profile) if audio else (None, None)
    log = SqliteLog(out / "record")
    printer.put(
        {"t": "00:00:00", "who": "stage", "text": described(profile), "event": None},
        f"The kitchen: {described(profile)}.",
    )
    try:
        book = book_for(profile)
        rehearsal = Rehearsal(script, book, profile, log, ear, mouth)
        entries = []
        with _writing(out):
            for entry in rehearsal.run():
                entries.append(entry)
                printer.put(asdict(entry), _human(entry))
            _write_transcript(out, script.name, entries, rehearsal)
    finally:
        log.close()
    return _verdict(scenario, rehearsal, ear, printer)


@contextmanager
def _writing(out: Path) -> Iterator[None]:
    """Turn a folder that can't be written to into one sentence."""
    try:
        yield
    except (BrokenPipeError, KitchenVoiceError):
        raise
    except OSError as exc:
        raise BadInput(
            f"{exc.filename or out} can't be written: {exc.strerror}. Name another folder with --out."
        ) from exc


def _make_room(out: Path) -> None:
    """Make the folder, and take away what an earlier run left in it, nothing else."""
    wav = out / "wav"
    make_folder(wav)
    for old in [*wav.glob("[0-9][0-9][0-9]-cook.wav"), *wav.glob("answer-*s.wav")]:
        old.unlink()
    if (out / "record" / "logbook.sqlite3").exists():
        shutil.rmtree(out / "record")


def _kitchen() -> Profile:
    """The cook's own kitchen if one is set up, else the practice kitchen."""
    from kitchenvoice.kitchen.folder import ENVIRONMENT
    from kitchenvoice.kitchen.practice import PRACTICE_KITCHEN
    from kitchenvoice.kitchen.profile import FILE_NAME, load_profile

    named = os.environ.get(ENVIRONMENT)
    return load_profile(Path(named)) if named and (Path(named) / FILE_NAME).exists() else PRACTICE_KITCHEN


def _sound(out: Path, snr_db: float | None, profile: Profile) -> tuple[NoisyEar, FileMouth]:
    from kitchenvoice.app.compose import ear_for_files
    from kitchenvoice.rehearsal.cook import DEMO_COOK, espeak_cook, voice
    from kitchenvoice.rehearsal.sounding import FileMouth, NoisyEar
    from kitchenvoice.speaking.espeak import Pyttsx3Synthesiser

    ear = ear_for_files(profile)
    english = profile.language == "en"
    cook = voice(DEMO_COOK) if english else espeak_cook(profile.language)
    synthesiser = Pyttsx3Synthesiser() if english else Pyttsx3Synthesiser(voice=profile.voice or profile.language)
    folder = out / "wav"
    noisy = NoisyEar(
        ear.first,
        cook,
        folder,
        cleaned=ear.cleaned,
        again=ear.again,
        second=ear.second,
        answers=ear.answers,
        snr_db=snr_db,
    )
    return noisy, FileMouth(synthesiser, folder)


def _human(entry: TranscriptEntry) -> str | None:
    from kitchenvoice.rehearsal.stage import same_words

    if entry.who == "log":
        return None
    if entry.who == "cook":
        heard = "" if same_words(entry.heard, entry.text) else f"   (heard: {entry.heard or 'nothing'})"
        ignored = f"   [not for us: {entry.reject_reason}]" if entry.reject_reason else ""
        return f"{entry.t}  cook:    {entry.text}{heard}{ignored}"
    return f"{entry.t}  answer:  {entry.text}"


def _write_transcript(out: Path, name: str, entries: list[TranscriptEntry], rehearsal: Rehearsal) -> None:
    from kitchenvoice.rehearsal.stage import same_words

    lines = [f"# {name}", "", "| time | who | what |", "| --- | --- | --- |"]
    for entry in entries:
        if entry.who == "log":
            continue
        otherwise = entry.who == "cook" and not same_words(entry.heard, entry.text)
        heard = f" *(heard: {entry.heard or 'nothing'})*" if otherwise else ""
        lines.append(f"| {entry.t} | {entry.who} | {entry.text}{heard} |")
    wrong = [f"- said: {said}; heard: {heard or 'nothing'}" for said, heard in rehearsal.misheard]
    lines += ["", f"Lines spoken: {rehearsal.spoken_lines}. Heard otherwise than said: {len(wrong)}.", *wrong, ""]
    write_out(out / "transcript.md", "\n".join(lines).encode())


def _verdict(scenario: Path, rehearsal: Rehearsal, ear: NoisyEar | None, printer: Printer) -> int:
    for said, heard in rehearsal.misheard if ear is not None else ():
        printer.put(
            {
                "t": None,
                "who": "stage",
                "text": f"said: {said}; heard: {heard or 'nothing'}",
                "event": "heard_otherwise",
            },
            f"Heard otherwise: said {said!r}, heard {heard or 'nothing'!r}.",
        )
    for failure in rehearsal.failures:
        complain(f"{scenario}, line {failure.line}: {failure.text}")
    total = f"{rehearsal.spoken_lines} lines spoken, {len(rehearsal.misheard)} heard otherwise"
    kept = (
        "every expectation was met"
        if not rehearsal.failures
        else f"{len(rehearsal.failures)} expectations were not met"
    )
    printer.put({"t": None, "who": "stage", "text": f"{total}; {kept}.", "event": "end"}, f"{total}; {kept}.")
    return EXPECTATIONS_FAILED if rehearsal.failures else 0
