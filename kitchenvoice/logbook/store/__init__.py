"""The event log on the disk."""
