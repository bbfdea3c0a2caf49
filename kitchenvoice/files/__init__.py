"""Safe file access: size-limited reads of regular files, atomic private writes, cache keys."""

from kitchenvoice.files.hashing import content_hash
from kitchenvoice.files.reading import read_small
from kitchenvoice.files.writing import make_folder, replace_file, set_aside, sync_folder, write_out

__all__ = ["content_hash", "make_folder", "read_small", "replace_file", "set_aside", "sync_folder", "write_out"]
