"""The SQLite file: location, schema, and the mapping of an event to a row."""
