"""The record: an append-only event log on the disk, and everything that is told from it.

with SqliteLog(folder, clock.now()) as log:     the one writer; what append returned from is on the disk
    log.append(events, clock.now())
    history = list(log.read())
log = PatientLog(folder, clock.now())           the same for a session, which goes on whatever the disk does
with Logbook(folder) as book:                   any number of readers
    loads = list(book.loads())
restore(folder)                                 back to a backup, saving what can be read since
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
