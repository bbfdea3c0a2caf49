"""Safe file access: size-limited reads of regular files, atomic private writes."""

from kitchenvoice.files.reading import read_small
from kitchenvoice.files.writing import make_folder, replace_file, set_aside, sync_folder, write_out

__all__ = ["make_folder", "read_small", "replace_file", "set_aside", "sync_folder", "write_out"]
