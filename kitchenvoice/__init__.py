"""Offline, voice-driven, hands-free assistant for a canning day in a home kitchen."""

__version__ = "0.1.0"
