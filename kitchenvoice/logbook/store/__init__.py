"""The event log on the disk: writer, backups, integrity checks."""
