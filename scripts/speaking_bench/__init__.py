"""The speaking bench: intelligibility of our own voice, and barge-in."""
