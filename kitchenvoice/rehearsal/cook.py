"""The synthetic cook: sentences spoken by speech synthesisers, for rehearsals and for the hearing bench.

No real person speaks here. `voices()` lists what this machine can speak with; a plain install has the four voices of
flite and a few of espeak-ng. More families come with packages that only the bench asks for.
"""

from __future__ import annotations

import subprocess
import tempfile
import wave
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from shutil import which

import numpy as np
import soxr

from kitchenvoice.errors import VoiceMissing
from kitchenvoice.ports import EAR_RATE_HZ, Samples, Sound
from kitchenvoice.rehearsal import neural_voice

__all__ = ["DEMO_COOK", "DEMO_HELPER", "Cook", "espeak_cook", "voice", "voices"]

DEMO_COOK = "flite rms"
"""The cook of the demonstration. Of the plain install's natural voices the ear understands it best: 30 of 30 sentences
clean and at 3 m, 29 of 30 at 10 dB (awb 28, slt 25; the diphone voice had 30 but sounds like a machine)."""

DEMO_HELPER = "espeak f3"
"""The second person in the kitchen: another sex of voice, another family, told from the cook at once."""

_TIMEOUT_S = 60.0
_FESTIVAL_VOICES = Path("/usr/share/festival/voices")


@dataclass(frozen=True, slots=True)
class Cook:
    """One synthetic speaker.

    `family` is the kind of synthesis: `statistical`, `diphone`, `formant` or `neural`. `engine` and `speaker` name the
    program and its voice. `height` below 1 makes a smaller person of the same voice (pitch and formants go up
    together); 1 is the voice as it comes.
    """

    name: str
    family: str
    engine: str
    speaker: str
    height: float = 1.0

    @property
    def available(self) -> bool:
        """True if this machine can speak with this voice."""
        if self.engine == "festival":
            return which("festival") is not None and any(_FESTIVAL_VOICES.glob(f"*/{self.speaker}"))
        if self.engine == "neural":
            return all(find_spec(name) is not None for name in neural_voice.PACKAGES)
        return which(self.engine) is not None

    def say(self, text: str, *, rate: float = 1.0) -> Samples:
        """Return `text` spoken at 16 kHz, the same samples each time.

        Args:
            text: words as a person would say them.
            rate: 1 is ordinary speech, 0.5 to 2 are possible; 1.2 is a fifth faster.

        Raises: ValueError if the text is empty or the rate is out of range, VoiceMissing if the voice isn't installed.
        """
        if not text.strip():
            raise ValueError("There is nothing to say. Give at least one word.")
        if not 0.5 <= rate <= 2.0:
            raise ValueError(f"A rate of {rate} can't be spoken. Use 0.5 to 2.")
        if not self.available:
            raise VoiceMissing(f"The voice {self.name} is not on this machine. Install {self.engine}.")
        sound = _ENGINES[self.engine](self.speaker, text, rate * self.height)
        apparent_hz = round(sound.rate_hz / self.height)
        return _at_ear_rate(sound.samples, apparent_hz)


def voices() -> tuple[Cook, ...]:
    """Return the voices that this machine can speak with; the demonstration's cook comes first."""
    return tuple(cook for cook in _CATALOGUE if cook.available)


def voice(name: str) -> Cook:
    """Return the voice called `name`. Raises: VoiceMissing if it is unknown or isn't installed."""
    for cook in _CATALOGUE:
        if cook.name == name and cook.available:
            return cook
    raise VoiceMissing(f"There is no voice called {name} here. Install flite and espeak-ng.")


def espeak_cook(language: str) -> Cook:
    """Return a cook of another language, by espeak-ng: the only voices of it in a plain install."""
    return Cook(f"espeak {language}", "formant", "espeak-ng", language)


# ---------------------------------------------------------------- engines: (speaker, text, rate) -> Sound


def _flite(speaker: str, text: str, rate: float) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        said, file = Path(folder, "said.txt"), Path(folder, "said.wav")
        said.write_text(text, encoding="utf-8")
        stretch = f"duration_stretch={1.0 / rate:.4f}"
        _run(["flite", "-voice", speaker, "--setf", stretch, "-f", str(said), "-o", str(file)])
        return _read(file)


def _espeak(speaker: str, text: str, rate: float) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "said.wav")
        words_a_minute = str(round(160 * rate))
        _run(["espeak-ng", "-v", speaker, "-s", words_a_minute, "-w", str(file), "--stdin"], text)
        return _read(file)


def _festival(speaker: str, text: str, rate: float) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        file, script = Path(folder, "said.wav"), Path(folder, "say.scm")
        plain = text.replace("\\", " ").replace('"', " ")
        script.write_text(
            f"(voice_{speaker})\n(Parameter.set 'Duration_Stretch {1.0 / rate:.4f})\n"
            f'(utt.save.wave (SynthText "{plain}") "{file}")\n',
            encoding="utf-8",
        )
        _run(["festival", "--batch", str(script)])
        return _read(file)


_ENGINES = {"espeak-ng": _espeak, "festival": _festival, "flite": _flite, "neural": neural_voice.speak}

_CATALOGUE = (
    Cook("flite rms", "statistical", "flite", "rms"),
    Cook("flite slt", "statistical", "flite", "slt"),
    Cook("flite awb", "statistical", "flite", "awb"),
    Cook("flite kal", "diphone", "flite", "kal16"),
    Cook("flite slt small", "statistical", "flite", "slt", 0.9),
    Cook("espeak f3", "formant", "espeak-ng", "en-us+f3"),
    Cook("espeak m3", "formant", "espeak-ng", "en-us+m3"),
    Cook("espeak f1", "formant", "espeak-ng", "en-gb+f1"),
    Cook("festival slt", "statistical", "festival", "cmu_us_slt_arctic_hts"),
    Cook("festival kal", "diphone", "festival", "kal_diphone"),
    Cook("festival ked", "diphone", "festival", "ked_diphone"),
    Cook("neural", "neural", "neural", ""),
    Cook("neural small", "neural", "neural", "", 0.85),
    Cook("neural child", "neural", "neural", "", 0.75),
)


def _run(command: list[str], text: str = "") -> None:
    try:
        subprocess.run(command, input=text.encode(), capture_output=True, check=True, timeout=_TIMEOUT_S)
    except (OSError, subprocess.SubprocessError) as exc:
        raise VoiceMissing(f"{command[0]} did not speak. Install it again.") from exc


def _read(file: Path) -> Sound:
    try:
        with wave.open(str(file)) as wav:
            samples = np.frombuffer(wav.readframes(wav.getnframes()), dtype="<i2").astype(np.int16)
            return Sound(samples, wav.getframerate())
    except (OSError, EOFError, wave.Error) as exc:
        raise VoiceMissing("The speech synthesiser left no sound. Install it again.") from exc


def _at_ear_rate(samples: Samples, rate_hz: int) -> Samples:
    """Bring the sound to 16 kHz and to one level (-20 dBFS while speaking)."""
    sound = soxr.resample(samples.astype(np.float32), rate_hz, EAR_RATE_HZ)
    spoken = sound[np.abs(sound) > 0.02 * float(np.max(np.abs(sound), initial=1.0))]
    level = float(np.sqrt(np.mean(spoken**2))) if len(spoken) else 1.0
    gain = min(3276.8 / level, 32000.0 / float(np.max(np.abs(sound), initial=1.0)))
    levelled: Samples = np.rint(sound * gain).astype(np.int16)
    return levelled
