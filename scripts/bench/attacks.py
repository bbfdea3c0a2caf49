"""Attacks on the board from loopback addresses, each a loop of many connections: `python -m bench.attacks NAME PORT`.

Each connection is made anew as soon as the board ends it. With `--addresses 1` all come from 127.0.0.66, else from as
many of 127.0.1.x. `--cookie` is that of a tablet that was let in.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import random
import re
import resource
import signal
import urllib.parse
import urllib.request
from collections.abc import Callable, Coroutine, Mapping
from types import MappingProxyType

__all__ = ["ATTACKS", "PEOPLE", "let_in"]

_FORM = b"Content-Type: application/x-www-form-urlencoded\r\n"
_PAUSE_S = 0.05
"""Between two connections of one attacker: the board closes what is too much at once."""


class Attacker:
    """What every attack needs: where the board is, and an address to come from."""

    def __init__(self, port: int, addresses: int, cookie: str) -> None:
        self._port = port
        self._from = ["127.0.0.66"] if addresses == 1 else [f"127.0.1.{number}" for number in range(1, addresses + 1)]
        self.host = f"Host: 127.0.0.1:{port}\r\n".encode()
        self.origin = f"Origin: http://127.0.0.1:{port}\r\n".encode()
        self.cookie = f"Cookie: board={cookie}\r\n".encode()
        self.made = 0

    async def connect(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
        """Connect from one of the addresses."""
        self.made += 1
        source = (random.choice(self._from), 0)
        return await asyncio.open_connection("127.0.0.1", self._port, local_addr=source)

    async def ever(self, attack: Attack) -> None:
        """Attack again and again."""
        while True:
            writer = None
            try:
                reader, writer = await self.connect()
                await attack(self, reader, writer)
            except OSError:
                pass
            finally:
                if writer is not None:
                    writer.transport.abort()
            await asyncio.sleep(_PAUSE_S)


Attack = Callable[[Attacker, asyncio.StreamReader, asyncio.StreamWriter], Coroutine[None, None, None]]


async def idle(_: Attacker, reader: asyncio.StreamReader, __: asyncio.StreamWriter) -> None:
    """Say nothing until the board ends it."""
    await reader.read()


async def slow_headers(by: Attacker, _: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Send a request byte by byte."""
    await _trickle(writer, b"GET / HTTP/1.1\r\n" + by.host + b"X: " + b"x" * 4000)


async def slow_bodies(by: Attacker, _: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Send a form byte by byte."""
    writer.write(b"POST /enter HTTP/1.1\r\n" + by.host + by.origin + _FORM + b"Content-Length: 2000\r\n\r\n")
    await _trickle(writer, b"code=" + b"1" * 2000)


async def _trickle(writer: asyncio.StreamWriter, text: bytes) -> None:
    for letter in text:
        writer.write(bytes([letter]))
        await writer.drain()
        await asyncio.sleep(0.2)


async def streams(by: Attacker, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Ask for a stream, as a tablet that is in; read what comes for a second."""
    writer.write(b"GET /feed HTTP/1.1\r\n" + by.host + by.cookie + b"\r\n")
    await asyncio.wait_for(reader.read(), 1.0)


async def guesses(by: Attacker, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Try codes as fast as they are answered."""
    while True:
        body = f"code={random.randrange(10**8):08d}".encode()
        length = f"Content-Length: {len(body)}\r\n\r\n".encode()
        writer.write(b"POST /enter HTTP/1.1\r\n" + by.host + by.origin + _FORM + length + body)
        if not await _answered(reader):
            return


async def pages(by: Attacker, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Ask for the page as fast as it comes, as a tablet that is in."""
    while True:
        writer.write(b"GET / HTTP/1.1\r\n" + by.host + by.cookie + b"\r\n")
        if not await _answered(reader):
            return


async def pipelines(by: Attacker, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Ask for two hundred pages at once, and read none."""
    writer.write((b"GET / HTTP/1.1\r\n" + by.host + b"\r\n") * 200)
    await asyncio.wait_for(reader.read(), 10.0)


async def nonsense(_: Attacker, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
    """Send a large piece of what is no request."""
    writer.write(random.randbytes(60_000))
    await reader.read()


async def _answered(reader: asyncio.StreamReader) -> bool:
    try:
        head = await reader.readuntil(b"\r\n\r\n")
        fields = (line.split(b":") for line in head.lower().splitlines())
        length = next((int(each[1]) for each in fields if each[0] == b"content-length"), 0)
        await reader.readexactly(length)
    except (asyncio.IncompleteReadError, asyncio.LimitOverrunError):
        return False
    return True


ATTACKS: Mapping[str, Attack] = MappingProxyType(
    {each.__name__: each for each in (idle, slow_headers, slow_bodies, streams, guesses, pages, pipelines, nonsense)}
)
PEOPLE: Mapping[str, int] = MappingProxyType({"idle": 1500, "slow_headers": 500, "slow_bodies": 500, "streams": 120})
"""Connections at once, where not 50."""


def let_in(port: int, code: str) -> str:
    """Type the code into a tablet; return its cookie."""
    where = f"http://127.0.0.1:{port}"
    body = urllib.parse.urlencode({"code": code}).encode()
    request = urllib.request.Request(f"{where}/enter", body, {"Origin": where})
    with urllib.request.build_opener(_Stay()).open(request) as answer:
        found = re.search("board=([^;]+)", answer.headers["set-cookie"])
    assert found is not None
    return found[1]


class _Stay(urllib.request.HTTPRedirectHandler):
    def http_error_303(self, _: object, answer: object, *__: object) -> object:
        return answer


async def _run(given: argparse.Namespace) -> None:
    by = Attacker(given.port, given.addresses, given.cookie)
    names = list(ATTACKS) if given.name == "all" else [given.name]
    tasks = [asyncio.ensure_future(by.ever(ATTACKS[name])) for name in names for _ in range(PEOPLE.get(name, 50))]
    over = asyncio.Event()
    asyncio.get_running_loop().add_signal_handler(signal.SIGTERM, over.set)
    await asyncio.wait(
        [*tasks, asyncio.ensure_future(over.wait())], timeout=given.seconds, return_when="FIRST_COMPLETED"
    )
    print(by.made, flush=True)
    os._exit(0)


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("name", choices=[*ATTACKS, "all"])
    parser.add_argument("port", type=int)
    parser.add_argument("--addresses", type=int, default=1)
    parser.add_argument("--cookie", default="")
    parser.add_argument("--seconds", type=float, default=20.0)
    resource.setrlimit(resource.RLIMIT_NOFILE, (resource.getrlimit(resource.RLIMIT_NOFILE)[1],) * 2)
    asyncio.run(_run(parser.parse_args()))
