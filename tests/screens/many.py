"""Visitors without a browser, many at once: they talk to the server of the screens as a browser does.

    python -m tests.screens.many --visitors 20

Starts a server of its own. Each visitor opens an example, gives the tank a name of their own, asks for a plan and waits
for it. Printed: who failed, who saw what is another's, in what order plans came, who was told to wait, and the memory
of the server and its searches before, during and after.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import os
import re
import socket
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection, connect

from lightplan.present.desk.desk import AWAY

#: seconds that a page may take, and a plan with all those before it
PAGE, PLAN = 300.0, 1500.0
LARGEST = 50_000_000
EXAMPLE = "Tall lagoon"


@dataclass
class Guest:
    """One visitor: what is on the page by label, and what was ever received."""

    number: int
    address: str
    query: str = ""
    page: str = ""
    page_hash: str = ""
    widgets: dict[str, Any] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)
    seen: set[str] = field(default_factory=set)
    waited: bool = False
    asked: float = 0.0
    planned: float = 0.0
    errors: list[str] = field(default_factory=list)
    socket: ClientConnection | None = None

    @property
    def name(self) -> str:
        """The name of this visitor's tank."""
        return f"Reef of visitor {self.number:03d}"

    async def enter(self) -> None:
        """Connect, and see the first page."""
        self.socket = await connect(
            self.address.replace("http", "ws") + "/_stcore/stream",
            subprotocols=["streamlit"],
            max_size=LARGEST,
            open_timeout=PAGE,
            ping_timeout=None,
        )
        await self.rerun()

    async def rerun(self, change: dict[str, Any] | None = None, page: str | None = None) -> None:
        """Ask for the page, with a widget changed, and take in all that comes of it."""
        assert self.socket is not None
        message = BackMsg()
        message.rerun_script.query_string = self.query
        if page is not None:
            self.page = page
        message.rerun_script.page_name = self.page
        if change:
            state = message.rerun_script.widget_states.widgets.add()
            for key, value in change.items():
                setattr(state, key, value)
        self.texts, self.widgets = [], {}
        await self.socket.send(message.SerializeToString())
        async with asyncio.timeout(PAGE):
            while await self._take():
                pass

    async def _take(self) -> bool:
        """Take one message; false where it ends the run of a page."""
        assert self.socket is not None
        data = await self.socket.recv()
        message = ForwardMsg()
        message.ParseFromString(data)
        self.seen |= set(re.findall(r"Reef of visitor \d+", bytes(data).decode("utf-8", "ignore")))
        kind = message.WhichOneof("type")
        if kind == "delta":
            self._note(message.delta)
        elif kind == "page_info_changed":
            self.query = message.page_info_changed.query_string
        elif kind == "session_event" and message.session_event.WhichOneof("type") == "script_compilation_exception":
            self.errors.append("the script does not compile")
        # a page that leads to another one ends early, and the other one follows
        return not (kind == "script_finished" and message.script_finished != ForwardMsg.FINISHED_EARLY_FOR_RERUN)

    def _note(self, delta: Any) -> None:
        element = delta.new_element
        kind = element.WhichOneof("type")
        if kind == "exception":
            self.errors.append(element.exception.message)
        if kind is None:
            return
        inner = getattr(element, kind)
        for name in ("body", "text", "label"):
            self.texts.append(str(getattr(inner, name, "")))
        label = getattr(inner, "label", "")
        if label and getattr(inner, "id", ""):
            self.widgets[label] = inner

    async def press(self, label: str) -> None:
        """Press a button."""
        await self.rerun({"id": self.widgets[label].id, "trigger_value": True})

    async def pick(self, label: str, option: str) -> None:
        """Pick from a list."""
        await self.rerun({"id": self.widgets[label].id, "string_value": option})

    async def type(self, label: str, text: str) -> None:
        """Type into a field."""
        await self.rerun({"id": self.widgets[label].id, "string_value": text})

    async def job(self, hold: asyncio.Event | None = None) -> None:
        """Open an example, name it, ask for a plan, wait for it; stay until all have one."""
        await self.enter()
        await self.pick("Example tank", EXAMPLE)
        await self.press("Open the example")
        await self.rerun(page="tank")
        await self.type("Name of the tank", self.name)
        await self.rerun(page="start")
        await self.rerun(page="plan")
        self.asked = time.monotonic()
        await self.press("Find the cheapest plan")
        # the first page is the least work, and says on its line how the search goes
        await self.rerun(page="start")
        while not any("It has a plan." in text for text in self.texts):
            self.waited = self.waited or any("Waiting: " in text for text in self.texts)
            assert time.monotonic() - self.asked < PLAN, "no plan came"
            await asyncio.sleep(1)
            await self.rerun()
        self.planned = time.monotonic()
        await self.rerun(page="report")
        if hold is not None:
            await hold.wait()
            await self.rerun(page="start")

    async def leave(self) -> None:
        """Close the window."""
        if self.socket is not None:
            await self.socket.close()


def resident(process: int) -> dict[str, float]:
    """Memory of a server, and of its searches, MB; and how many of those there are."""
    children = Path(f"/proc/{process}/task/{process}/children").read_text().split()
    for task in Path(f"/proc/{process}/task").iterdir():
        with contextlib.suppress(OSError):
            children += (task / "children").read_text().split()

    def megabytes(number: str) -> float:
        with contextlib.suppress(OSError):
            found = re.search(r"VmRSS:\s+(\d+)", Path(f"/proc/{number}/status").read_text())
            return int(found[1]) / 1024 if found else 0.0
        return 0.0

    searches = set(children)
    return {
        "server": round(megabytes(str(process))),
        "searches": round(sum(map(megabytes, searches))),
        "processes": len(searches),
    }


async def together(address: str, count: int) -> tuple[list[Guest], list[str]]:
    """Let so many visitors do their job at once; all of them, and what went wrong."""
    guests = [Guest(number, address) for number in range(count)]
    hold = asyncio.Event()
    jobs = [asyncio.create_task(guest.job(hold)) for guest in guests]
    while not all(job.done() or guest.planned for job, guest in zip(jobs, guests, strict=True)):
        await asyncio.sleep(0.2)
    hold.set()
    done = await asyncio.gather(*jobs, return_exceptions=True)
    wrong = [f"visitor {guest.number}: {error!r}" for guest, error in zip(guests, done, strict=True) if error]
    for guest in guests:
        wrong += [f"visitor {guest.number}: {error}" for error in guest.errors]
        if guest.seen != {guest.name}:
            wrong.append(f"visitor {guest.number} saw {sorted(guest.seen)}")
        keys = [other.number for other in guests if other is not guest and other.query == guest.query]
        if keys:
            wrong.append(f"visitor {guest.number} sits at the desk of {keys}")
    return guests, wrong


def handshake(address: str, host: str, origin: str | None) -> int:
    """Ask for a websocket with these headers, as a browser on a page of that origin does; the status of the answer."""
    parts = urlsplit(address)
    lines = [
        "GET /_stcore/stream HTTP/1.1",
        f"Host: {host}",
        "Connection: Upgrade",
        "Upgrade: websocket",
        "Sec-WebSocket-Version: 13",
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==",
        *([] if origin is None else [f"Origin: {origin}"]),
    ]
    with socket.create_connection((parts.hostname or "", parts.port or 0), timeout=PAGE) as line:
        line.sendall(("\r\n".join(lines) + "\r\n\r\n").encode())
        answer = line.recv(1000).decode("latin-1")
    return int(answer.split()[1])


def overtaken(guests: list[Guest]) -> int:
    """The most places that anybody's plan came later than in the order of asking."""
    asked = sorted(guests, key=lambda guest: guest.asked)
    planned = sorted(guests, key=lambda guest: guest.planned)
    return max(planned.index(guest) - asked.index(guest) for guest in guests)


async def measured(address: str, process: int, count: int) -> None:
    """Print all figures, each as soon as it is known."""

    def tell(what: str, figure: object) -> None:
        print(f"{what}: {figure}", flush=True)

    tell("memory at first, MB", resident(process))
    first, wrong = await together(address, 1)
    await asyncio.gather(*(guest.leave() for guest in first))
    tell("memory after one visitor", resident(process))
    for attempt in ("first", "second"):
        begun = time.monotonic()
        guests, found = await together(address, count)
        tell(f"{count} visitors, {attempt} time, seconds", round(time.monotonic() - begun))
        tell("wrong", wrong + found)
        tell("told to wait", sum(guest.waited for guest in guests))
        tell("most places that a plan came later than it was asked for", overtaken(guests))
        tell("longest wait for a plan, seconds", round(max(guest.planned - guest.asked for guest in guests)))
        tell("memory with all", resident(process))
        await asyncio.gather(*(guest.leave() for guest in guests))
        await asyncio.sleep(AWAY + 8)
        tell(f"memory {AWAY + 8:g} s after they left", resident(process))


def main() -> None:
    """Start a server, and print the figures."""
    from tests.screens.conftest import served

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--visitors", type=int, default=20)
    given = parser.parse_args()
    with served() as address:
        (process,) = (int(one) for one in _servers(address))
        asyncio.run(measured(address, process, given.visitors))


def _servers(address: str) -> list[str]:
    port = address.rpartition(":")[2]
    mine = Path(f"/proc/{os.getpid()}/task/{os.getpid()}/children").read_text().split()
    return [one for one in mine if f"--server.port={port}" in Path(f"/proc/{one}/cmdline").read_text()]


if __name__ == "__main__":
    main()
