"""The ear: from a microphone or a sound file to utterances. Knows no process, no dialogue and no voice of its own."""

from __future__ import annotations

from kitchenvoice.hearing.again import Another
from kitchenvoice.hearing.barge_in import BargeIn
from kitchenvoice.hearing.ear import make_listener
from kitchenvoice.hearing.listener import Listener, hear_samples
from kitchenvoice.hearing.microphone import Microphone
from kitchenvoice.hearing.model_store import verified_model
from kitchenvoice.hearing.stop_ear import StopEar
from kitchenvoice.hearing.voice import SileroDetector, VoiceDetector
from kitchenvoice.hearing.vosk_recogniser import FreeRecogniser, SentenceRecogniser, VoskRecogniser
from kitchenvoice.hearing.wav import WavSource, read_wav
from kitchenvoice.hearing.whisper_opinion import second_opinion

__all__ = [
    "Another",
    "BargeIn",
    "FreeRecogniser",
    "Listener",
    "Microphone",
    "SentenceRecogniser",
    "SileroDetector",
    "StopEar",
    "VoiceDetector",
    "VoskRecogniser",
    "WavSource",
    "hear_samples",
    "make_listener",
    "read_wav",
    "second_opinion",
    "verified_model",
]
