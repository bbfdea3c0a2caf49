"""Projection of the events: derived rows beside the log."""
