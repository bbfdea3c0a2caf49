"""PortAudio as microphone and speaker share it, and the memory its threads take."""
