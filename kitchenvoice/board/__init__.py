"""The board: the state of the session to look at, as a page on a tablet and as a view in the terminal.

Seen          what the session hands over: the kitchen, the words of the steps, what was heard and said
view_of       what is shown of it at a time (pure); page and terminal draw the same view
Glass         where the latest `Snapshot` lies, with when it was put there; never waits for anybody
Place         an address and a port, and whether a code is needed there

The web server (`kitchenvoice.board.server`) and the terminal (`kitchenvoice.board.terminal`) are loaded by whoever
starts them, so that a session without a board opens no socket and loads no server.
"""

from kitchenvoice.board.address import BoardAddress, read_place
from kitchenvoice.board.latest import LatestSnapshot
from kitchenvoice.board.snapshot import Snapshot, TalkLine
from kitchenvoice.board.view import View, view_of

__all__ = ["BoardAddress", "LatestSnapshot", "Snapshot", "TalkLine", "View", "read_place", "view_of"]
