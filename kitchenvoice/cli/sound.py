"""`kitchenvoice sound`: the microphones and speakers, their levels, and the ones in use."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from kitchenvoice.errors import BadInput, DeviceLost, DeviceMissing
from kitchenvoice.kitchen import Profile, change_profile, home, load_profile
from kitchenvoice.terminal import Printer

if TYPE_CHECKING:
    from kitchenvoice.audio.portaudio import SoundDevice

__all__ = ["bar", "sound_command"]

_PATIENCE_S = 12.0
_TRY_S = 5
_SILENCE_DBFS = -90.0
_WIDTH = 20
_RANGE_DB = (-60.0, 0.0)
_SAMPLE = "This is kitchenvoice. If you hear me across the kitchen, this is the speaker to take."
_NOT_THERE = "There is no {kind} {said!r}. Take one of the numbers or names that kitchenvoice sound lists."


@click.command("sound")
@click.option("--microphone", metavar="NAME", help="Try this one, by its number or a part of its name, and keep it.")
@click.option("--speaker", metavar="NAME", help="Let this speaker say a sentence, and keep it.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON on a terminal too.")
def sound_command(microphone: str | None, speaker: str | None, as_json: bool) -> int:
    """List microphones and speakers; try one, and keep it."""
    from kitchenvoice.app import devices
    from kitchenvoice.app.drivers import quiet_drivers

    printer = Printer(True if as_json else None)
    folder = home()
    profile = load_profile(folder)
    with quiet_drivers():
        ears, mouths = devices.microphones(), devices.speakers()
        if microphone is None and speaker is None:
            _list(printer, profile, ears, mouths)
            if missing := [kind for kind, found in (("microphone", ears), ("speaker", mouths)) if not found]:
                raise DeviceMissing(f"There is no {' and no '.join(missing)}. Plug one in.")
            if printer.as_json:
                return 0
            microphone, speaker = _ask("microphone"), _ask("speaker")
        if microphone:
            before, name = profile, _try_ear(ears, microphone)
            profile = replace(before, input_device=name, gain_db=0.0)
            change_profile(folder, before, profile)
            printer.put({"kept": "microphone", "name": name}, f"Kept: the microphone is {name}.")
        if speaker:
            name = _try_mouth(mouths, speaker, profile)
            change_profile(folder, profile, replace(profile, output_device=name))
            printer.put({"kept": "speaker", "name": name}, f"Kept: the speaker is {name}. It said a sentence just now.")
    return 0


def _list(printer: Printer, profile: Profile, ears: Sequence[SoundDevice], mouths: Sequence[SoundDevice]) -> None:
    from kitchenvoice.app import devices

    used = devices.in_use(ears, profile.input_device, ear=True)
    for number, each in enumerate(ears, 1):
        name, level = devices.plain_name(each.name), _level(each)
        fields = {"microphone": number, "name": name, "level_dbfs": level, "used": each is used}
        heard = "can't be opened" if level is None else f"{bar(level)} {level:.0f} dB"
        printer.put(fields, f"microphone {number}{' *' if each is used else '  '} {name}: {heard}")
    used = devices.in_use(mouths, profile.output_device, ear=False)
    for number, each in enumerate(mouths, 1):
        name = devices.plain_name(each.name)
        fields = {"speaker": number, "name": name, "used": each is used}
        printer.put(fields, f"speaker    {number}{' *' if each is used else '  '} {name}")


def _level(device: SoundDevice) -> float | None:
    from kitchenvoice.app import devices

    try:
        return round(devices.level_dbfs(device), 1)
    except (DeviceLost, DeviceMissing):
        return None


def bar(level_dbfs: float) -> str:
    """Draw a level from 60 dB below full up to full."""
    low, high = _RANGE_DB
    full = round(_WIDTH * min(max((level_dbfs - low) / (high - low), 0.0), 1.0))
    return f"[{'#' * full}{'.' * (_WIDTH - full)}]"


def _ask(kind: str) -> str:
    return str(click.prompt(f"Number of the {kind} to try (Enter leaves it)", default="", show_default=False, err=True))


def _try_ear(ears: Sequence[SoundDevice], said: str) -> str:
    """Show the level for five seconds. Raises: BadInput, DeviceMissing for silence, too; DeviceLost."""
    from kitchenvoice.app import devices

    device = devices.choose(ears, said)
    if device is None:
        raise BadInput(_NOT_THERE.format(kind="microphone", said=said))
    name = devices.plain_name(device.name)
    click.echo(f"Speak now: {name}", err=True)
    loudest = _SILENCE_DBFS
    for _ in range(_TRY_S):
        try:
            level = devices.level_dbfs(name)
        except DeviceMissing as exc:
            raise DeviceMissing(f"{name} can't be opened, and isn't kept. Take another one.") from exc
        loudest = max(loudest, level)
        click.echo(f"  {bar(level)} {level:.0f} dB", err=True)
    if loudest <= _SILENCE_DBFS:
        raise DeviceMissing(f"{name} gives only silence, and isn't kept. Switch it on, or take another one.")
    return name


def _try_mouth(mouths: Sequence[SoundDevice], said: str, profile: Profile) -> str:
    """Say a sentence. Raises: BadInput, DeviceMissing, DeviceLost, VoiceMissing."""
    from kitchenvoice.app import devices
    from kitchenvoice.app.speaking import make_voice
    from kitchenvoice.speaking import SpeakerPlayer

    device = devices.choose(mouths, said)
    if device is None:
        raise BadInput(_NOT_THERE.format(kind="speaker", said=said))
    name = devices.plain_name(device.name)
    player, played = SpeakerPlayer(name), threading.Event()
    try:
        player.play(
            make_voice(profile.voice).render(_SAMPLE), on_end=lambda finished: played.set() if finished else None
        )
        if not played.wait(_PATIENCE_S):
            raise DeviceLost(f"{name} took a sentence and didn't play it. Check its plug, or choose another.")
    finally:
        player.close()
    return name
