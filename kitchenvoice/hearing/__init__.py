"""The ear: from a microphone or a sound file to utterances. Knows nothing of process, dialogue or speech output."""

from __future__ import annotations

from kitchenvoice.hearing.assembly import make_listener
from kitchenvoice.hearing.capture import Microphone
from kitchenvoice.hearing.listener import Listener, hear_samples
from kitchenvoice.hearing.recognise.model_store import verified_model
from kitchenvoice.hearing.recognise.second_pass import Another
from kitchenvoice.hearing.recognise.vosk_recogniser import FreeRecogniser, SentenceRecogniser, VoskRecogniser
from kitchenvoice.hearing.recognise.whisper_rescorer import find_rescorer
from kitchenvoice.hearing.settling import settled
from kitchenvoice.hearing.stop_word.barge_in import BargeIn
from kitchenvoice.hearing.stop_word.spotter import StopWordSpotter
from kitchenvoice.hearing.vad import SileroDetector, VoiceDetector
from kitchenvoice.hearing.wav import WavSource, read_wav

__all__ = [
    "Another",
    "BargeIn",
    "FreeRecogniser",
    "Listener",
    "Microphone",
    "SentenceRecogniser",
    "SileroDetector",
    "StopWordSpotter",
    "VoiceDetector",
    "VoskRecogniser",
    "WavSource",
    "find_rescorer",
    "hear_samples",
    "make_listener",
    "read_wav",
    "settled",
    "verified_model",
]
