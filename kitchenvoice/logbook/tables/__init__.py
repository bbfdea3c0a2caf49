"""The SQLite file: where it lies, its tables, one event as one row."""
