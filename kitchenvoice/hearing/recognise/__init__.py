"""Sound to alternatives with posteriors: Vosk, its language graph, second pass and rescorer."""
