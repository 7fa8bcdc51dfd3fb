"""Several visitors at once, and requests that do not come from the screens' own pages."""

from __future__ import annotations

import asyncio
import urllib.error
import urllib.request
from urllib.parse import urlsplit

import pytest

from lightplan.present.pages.own_names import REFUSED
from tests.screens.many import Guest, handshake, together

#: how many at once; the figures of twenty are those of `python -m tests.screens.many`
VISITORS = 3

pytestmark = pytest.mark.usefixtures("address")


def test_none_sees_what_is_anothers_and_none_fails(address: str) -> None:
    async def all_of_it() -> tuple[list[Guest], list[str]]:
        guests, wrong = await together(address, VISITORS)
        await asyncio.gather(*(guest.leave() for guest in guests))
        return guests, wrong

    guests, wrong = asyncio.run(all_of_it())
    assert wrong == []
    assert all(guest.planned > guest.asked for guest in guests)


def origins(address: str) -> list[tuple[str, str | None, int]]:
    """Host and origin of a request, and whether it is let in."""
    parts = urlsplit(address)
    host = parts.netloc
    return [
        (host, address, 101),
        (f"localhost:{parts.port}", f"http://localhost:{parts.port}", 101),
        (host, None, 101),
        (host, "http://evil.example", 403),
        (host, f"http://127.0.0.1.evil.example:{parts.port}", 403),
        (host, "null", 403),
        # a page whose own name leads to this machine
        ("evil.example", "http://evil.example", 403),
        (f"evil.example:{parts.port}", f"http://evil.example:{parts.port}", 403),
        ("evil.example", None, 403),
    ]


def test_only_its_own_pages_are_let_in(address: str) -> None:
    assert [(host, origin, handshake(address, host, origin)) for host, origin, _ in origins(address)] == origins(
        address
    )


@pytest.mark.parametrize("place", ["/", "/tank", "/favicon.png", "/_stcore/health"])
def test_pages_are_given_by_its_own_names_only(address: str, place: str) -> None:
    port = urlsplit(address).port
    for host in (f"127.0.0.1:{port}", f"localhost:{port}"):
        with urllib.request.urlopen(urllib.request.Request(f"{address}{place}", headers={"Host": host})) as answer:
            assert answer.status == 200
    for host in ("evil.example", f"127.0.0.1.evil.example:{port}"):
        with pytest.raises(urllib.error.HTTPError) as refused:
            urllib.request.urlopen(urllib.request.Request(f"{address}{place}", headers={"Host": host}))
        with refused.value as told:
            assert told.code == 403
            assert told.read().decode() == REFUSED


@pytest.mark.parametrize("method", ["PUT", "POST", "DELETE"])
def test_nothing_is_taken_from_anywhere_else(address: str, method: str) -> None:
    place = f"{address}/_stcore/upload_file/00000000-0000-0000-0000-000000000000/x"
    request = urllib.request.Request(place, b"x" * 1000, {"Origin": "http://evil.example"}, method=method)
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(request, timeout=60)
    with refused.value as answer:
        assert answer.code in {400, 403, 404, 405}
        assert "Access-Control-Allow-Origin" not in answer.headers


def test_what_is_served_names_no_other_origin(address: str) -> None:
    request = urllib.request.Request(f"{address}/_stcore/health", headers={"Origin": "http://evil.example"})
    with urllib.request.urlopen(request, timeout=60) as answer:
        assert answer.headers.get("Access-Control-Allow-Origin") in {None, address}
