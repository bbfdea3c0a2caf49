"""malloc arenas and free memory after many concurrent threads, by the C library's account and the system's."""

from __future__ import annotations

import subprocess
import sys

import pytest

STORES = """
import ctypes, sys, threading
from kitchenvoice.audio.malloc import share_one_store
if sys.argv[1] == "one" and not share_one_store():
    sys.exit(3)
library = ctypes.CDLL(None)
library.malloc.restype = ctypes.c_void_p
together = threading.Barrier(6)
def hold():
    library.malloc(50_000)
    together.wait()
threads = [threading.Thread(target=hold) for _ in range(6)]
for thread in threads: thread.start()
for thread in threads: thread.join()
library.fdopen.restype = ctypes.c_void_p
out = library.fdopen(1, b"w")
library.malloc_info(0, ctypes.c_void_p(out))
library.fflush(ctypes.c_void_p(out))
"""


def stores(how: str) -> int:
    done = subprocess.run([sys.executable, "-c", STORES, how], capture_output=True, text=True, check=False)
    if done.returncode == 3:
        pytest.skip("this C library has no stores for each thread")
    assert done.returncode == 0, done.stderr
    return done.stdout.count("<heap nr=")


def test_all_threads_share_one_store() -> None:
    assert stores("one") == 1


def test_without_it_there_are_more() -> None:
    stores("one")  # skipped where there is no such thing
    assert stores("many") > 1


GIVEN_BACK = """
import os, sys
from pathlib import Path
from kitchenvoice.audio.malloc import give_back_memory, share_one_store
def megabytes(): return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
if not share_one_store(): sys.exit(3)
pieces = [bytes(100_000) for _ in range(1000)]
last = pieces[-1]
del pieces
before = megabytes()
give_back_memory()
print(before - megabytes(), len(last))
"""


def test_what_is_free_below_what_is_in_use_is_given_back() -> None:
    done = subprocess.run([sys.executable, "-c", GIVEN_BACK], capture_output=True, text=True, check=False)
    if done.returncode == 3:
        pytest.skip("this C library has no stores for each thread")
    assert done.returncode == 0, done.stderr
    assert float(done.stdout.split()[0]) > 50.0
