"""The record: an append-only event log on the disk, with its projection, backups and reports.

with SqliteLog(folder, clock.now()) as log:     the single writer; when append returns, the events are on the disk
    log.append(events, clock.now())
    history = list(log.read())
log = ResilientLog(folder, clock.now())         the same for a session, with a disk that may fail
with Logbook(folder) as book:                   any number of readers
    loads = list(book.loads())
restore(folder)                                 back to a backup, plus what can be salvaged since
"""

from kitchenvoice.logbook.report.records import LoadRecord, Logbook, LogEntry
from kitchenvoice.logbook.store.backups import Backup, back_up, backups
from kitchenvoice.logbook.store.resilient_log import ResilientLog
from kitchenvoice.logbook.store.restore import Restored, restore
from kitchenvoice.logbook.store.sqlite_log import SqliteLog

__all__ = [
    "Backup",
    "LoadRecord",
    "LogEntry",
    "Logbook",
    "ResilientLog",
    "Restored",
    "SqliteLog",
    "back_up",
    "backups",
    "restore",
]
