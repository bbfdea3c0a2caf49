"""Offline, voice-driven, hands-free assistant for a canning day in a home kitchen."""
