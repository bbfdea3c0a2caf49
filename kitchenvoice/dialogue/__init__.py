"""The conversation: an utterance to an intent, an intent to events, events to sentences."""
