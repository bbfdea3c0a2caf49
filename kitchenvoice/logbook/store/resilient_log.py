"""Session log that survives a failing disk: opened at once, or as soon as the disk allows.

Until then the readable part is the present state, and each report is refused with the reason, so that nothing passes
for recorded. A damaged file is restored at once from the newest backup and whatever can be salvaged since: the cook
can't type commands in the middle of a load. Entries of this session that the restored file lacks are stored again. A
file that was deleted or replaced is copied from the open connection; a file of another log is set aside for a new one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import itemgetter
from pathlib import Path

from kitchenvoice.errors import LogbookDamaged, LogbookError, LogbookForeign, LogbookTaken
from kitchenvoice.logbook.store.backups import newest_good, set_aside
from kitchenvoice.logbook.store.read_only import Known, what_is_known
from kitchenvoice.logbook.store.rescue import LOST, begin_anew, put_in_place, with_gaps
from kitchenvoice.logbook.store.restore import Restored, restore
from kitchenvoice.logbook.store.sqlite_log import SqliteLog
from kitchenvoice.logbook.tables.disk_errors import explained
from kitchenvoice.logbook.tables.files import NAME
from kitchenvoice.ports import Event, Moment

__all__ = ["ResilientLog"]

_MENDED_AT_ONCE = 48_000_000
"""A file of this size is restored in about a second; a larger one isn't during a session."""


class ResilientLog:
    """An `EventLog`, and a `Pantry`, with which a session can start although the disk refuses.

    `news` is what a start has to tell of the record, empty if there is nothing. `whole` is False if entries may be
    missing, so that nobody can know what happened since the last one; `mended` tells that the file was taken away or
    damaged in the middle of the session, and another one took its place; `lost` counts the entries of before that
    nobody has any more.
    """

    def __init__(self, folder: Path, now: Moment) -> None:
        """Open the log in `folder`, or its readable part.

        Raises: LogbookTaken if another session writes it, LogbookForeign if it isn't this program's to write.
        """
        self._folder = folder
        self._log: SqliteLog | None = None
        self._damaged = False
        self.mended = False
        self.lost = 0
        self.news = ""
        self.whole = True
        try:
            self._log = self._opened(now)
        except (LogbookTaken, LogbookForeign):
            raise
        except LogbookError:
            pass  # the advice comes with the first entry that can't be stored
        self._known = self._read_only() if self._log is None else _known_of(self._log)
        self._stored = list(self._known.entries)
        self._last_seq = self._known.last_seq

    def _opened(self, now: Moment) -> SqliteLog:
        try:
            return SqliteLog(self._folder, now)
        except LogbookDamaged as error:
            done = restore(self._folder)
            self.whole = False
            self.news = _told(error, done)
        return SqliteLog(self._folder, now)

    def _read_only(self) -> Known:
        try:
            return what_is_known(self._folder)
        except LogbookError:
            if (self._folder / NAME).exists():
                self.whole = False
                self.news = "What was recorded before can't be read now, so I know nothing of it."
            return Known()

    # ------------------------------------------------------------ EventLog

    def append(self, events: Sequence[Event], moment: Moment) -> None:
        """Store events; return once they are on the disk. Raises: LogbookError; then none is, and it can be retried."""
        log = self._log or self._open_again(moment)
        try:
            log.append(events, moment)
        except LogbookDamaged as error:
            raise LogbookDamaged(f"{_fact(error)}. {self._set_right(log)}") from error
        self._stored += [(event, moment) for event in events]
        self._last_seq = log.last_seq

    def _set_right(self, log: SqliteLog) -> str:
        """Go on in a new file with all that is still readable, or release a damaged one; return the report."""
        self._damaged = self.mended = True
        try:
            fresh = log.rescue()
            if fresh is not None:
                put_in_place(fresh)
                self._damaged = False
                return "I go on in a new file, and nothing is lost."
        except (LogbookError, OSError):
            pass  # no space or no permission: the next try meets and reports that again
        finally:
            self._let_go()
        return "I try to mend it from the backup."

    def _open_again(self, now: Moment) -> SqliteLog:
        if self._damaged and _length(self._folder) > _MENDED_AT_ONCE:
            raise LogbookDamaged("The logbook file is damaged, and too long to be mended now. The next start does it.")
        log = self._opened_or_anew(now)
        try:
            if self.mended and not self._continues(log):
                log.close()
                log = self._begun_anew(now)
            self._catch_up(log)
        except BaseException:
            log.close()
            raise
        self._log, self._damaged = log, False
        return log

    def _opened_or_anew(self, now: Moment) -> SqliteLog:
        """Open the present file, or a new one if during a session there is none, or none of this program's."""
        path = self._folder / NAME
        if self.mended and path.exists() and not path.is_file():
            set_aside(self._folder, "")
        try:
            return self._opened(now)
        except LogbookForeign:
            if not self.mended:
                raise
            set_aside(self._folder, "")
            return self._opened_or_anew(now)
        except LogbookError:
            if not self.mended or path.exists() or newest_good(self._folder) is not None:
                raise
            return self._begun_anew(now)

    def _begun_anew(self, now: Moment) -> SqliteLog:
        self.whole = False
        with explained(self._folder):
            begin_anew(self._folder)
        return SqliteLog(self._folder, now)

    def _continues(self, log: SqliteLog) -> bool:
        """True if the present file is this session's, as far as both overlap."""
        ours = {event.seq: event for event, _ in self._stored}
        theirs = {event.seq: event for event in log.read()}
        return log.last_seq <= self._last_seq and all(ours[seq] == theirs[seq] for seq in ours.keys() & theirs.keys())

    def _catch_up(self, log: SqliteLog) -> None:
        """Append the entries that the repaired file lacks. Raises: LogbookError if they don't join.

        Only where this session had the file open before it was damaged, gaps are filled.
        """
        lacking = list(with_gaps(self._stored, log.last_seq))
        lost = sum(event.kind == LOST for event, _ in lacking)
        if log.last_seq + len(lacking) != self._last_seq or (lost and not self.mended):
            raise LogbookError("The logbook isn't the one this session began with, so nothing can be added to it.")
        for at, entries in groupby(lacking, key=itemgetter(1)):
            log.append([event for event, _ in entries], at)
        self.lost += lost
        self.whole = self.whole and not lost

    def look(self) -> None:
        """Check at the end that everything stored is there, and repair it if not. Raises: LogbookError."""
        if self._log is None:
            if self.mended:
                self._open_again(self._stored[-1][1])
            return
        try:
            self._log.check_whole()
        except LogbookDamaged:
            self._set_right(self._log)
            self._log = self._open_again(self._stored[-1][1])

    def _let_go(self) -> None:
        if self._log is not None:
            self._log.close()
            self._log = None

    def read(self) -> Iterator[Event]:
        """Yield the events on which the state at the start depended, oldest first."""
        yield from (event for event, _ in self._known.entries)

    def close(self) -> None:
        """Release the file. Safe to call twice."""
        self._let_go()

    # ------------------------------------------------------------ beyond the port

    @property
    def last_seq(self) -> int:
        """Number of the latest stored entry, 0 in an empty log."""
        return self._last_seq

    @property
    def last_load(self) -> int:
        """Highest load id at the start, 0 if there was none."""
        return self._known.last_load

    @property
    def last_moment(self) -> Moment | None:
        """When an earlier session wrote its latest entry, by both clocks; `None` if none did."""
        return self._known.last_moment

    def on_shelf(self, food: str | None = None, jar: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars left, when it was packed in POSIX seconds) per load with jars left, oldest first.

        While the log isn't open it is the shelf at the start. Raises: LogbookError if that is unknown.
        """
        if self._log is not None:
            return self._log.on_shelf(food, jar)
        if self._known.shelf is None:
            raise LogbookError("The logbook can't be read now.")
        return [row for row in self._known.shelf if food in (None, row[0]) and jar in (None, row[1])]

    def put_up(self, food: str | None = None) -> list[tuple[str, str, int, float]]:
        """Return (food, jar, jars put on the shelf, when they were packed in POSIX seconds) per load, oldest first.

        Raises: LogbookError while the log isn't open.
        """
        if self._log is None:
            raise LogbookError("The logbook can't be read now.")
        return self._log.put_up(food)


def _known_of(log: SqliteLog) -> Known:
    return Known(tuple(log.read_with_moments()), log.last_seq, log.last_load, log.last_moment)


def _length(folder: Path) -> int:
    path = folder / NAME
    return path.stat().st_size if path.exists() else 0


def _fact(error: LogbookError) -> str:
    return str(error).split(". ")[0].rstrip(".")


def _told(error: LogbookDamaged, done: Restored) -> str:
    """Name the fault and the repair briefly. A count of entries would tell the cook nothing."""
    if done.backup is None:
        there = "I saved what could be read of it" if done.saved else "Nothing of it could be read"
    else:
        since = "and saved what could be read since" if done.saved else "and found nothing since"
        there = f"I went back to the backup of {done.day}, {since}"
    return f"{_fact(error)}. {there}. Something may be missing: check what I tell you."
