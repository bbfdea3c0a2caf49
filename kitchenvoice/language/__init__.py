"""How a language says things: numbers, measures, durations and whole sentences."""
