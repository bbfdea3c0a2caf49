"""The board: a display of the session, as a page on a tablet and as a view in the terminal.

Snapshot        frozen state that the session hands over: kitchen, words of the steps, last sentences heard and said
view_of         the view of a snapshot at a time (pure), the same for page and terminal
LatestSnapshot  the latest snapshot with its time; neither writer nor readers wait
BoardAddress    an address and a port, and whether an access code is needed there

Only their starters import the web server (`kitchenvoice.board.server`) and the terminal
(`kitchenvoice.board.terminal_board`): a session without a board opens no socket and loads no server.
"""

from kitchenvoice.board.address import BoardAddress, read_address
from kitchenvoice.board.history import HoldReading, readings_of
from kitchenvoice.board.latest import LatestSnapshot
from kitchenvoice.board.snapshot import Snapshot, TalkLine
from kitchenvoice.board.view import View, view_of

__all__ = [
    "BoardAddress",
    "HoldReading",
    "LatestSnapshot",
    "Snapshot",
    "TalkLine",
    "View",
    "read_address",
    "readings_of",
    "view_of",
]
