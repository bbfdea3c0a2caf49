"""The mouth: queue, synthesis and loudspeaker.

`Mouth` ties an `Announcer` (the queue, pure), a synthesiser (`Pyttsx3Synthesiser`) and a player (`SpeakerPlayer`,
`FilePlayer`) together. Tones don't need the synthesiser.
"""

from kitchenvoice.speaking.announcer import Announcer, Dropped, SpeakingTurn
from kitchenvoice.speaking.callbacks import MouthCallbacks
from kitchenvoice.speaking.espeak import Pyttsx3Synthesiser
from kitchenvoice.speaking.file_player import FilePlayer
from kitchenvoice.speaking.mouth import Mouth
from kitchenvoice.speaking.neural import NeuralSynthesiser, neural_is_installed
from kitchenvoice.speaking.player import SpeakerPlayer
from kitchenvoice.speaking.settings import MouthSettings
from kitchenvoice.speaking.text_normalisation import for_the_ear
from kitchenvoice.speaking.tones import TONES, tone_names

__all__ = [
    "TONES",
    "Announcer",
    "Dropped",
    "FilePlayer",
    "Mouth",
    "MouthCallbacks",
    "MouthSettings",
    "NeuralSynthesiser",
    "Pyttsx3Synthesiser",
    "SpeakerPlayer",
    "SpeakingTurn",
    "for_the_ear",
    "neural_is_installed",
    "tone_names",
]
