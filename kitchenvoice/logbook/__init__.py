"""The record: an append-only event log on the disk, and everything that is told from it.

with SqliteLog(folder, clock.now()) as log:     the one writer; what append returned from is on the disk
    log.append(events, clock.now())
    history = list(log.read())
"""

from kitchenvoice.logbook.sqlite_log import SqliteLog

__all__ = ["SqliteLog"]
