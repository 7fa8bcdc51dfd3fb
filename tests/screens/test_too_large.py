"""Files that are too large: the page says so at once, and the server takes no more of them than it may."""

from __future__ import annotations

import contextlib
import http.client
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from lightplan.inputs.files import MOST_BYTES

#: what a hostile program would send, and the most that it may cost the server, bytes
SENT, MOST_TAKEN = 400_000_000, 80_000_000
UPLOADER = "[data-testid=stFileUploader]"


def chunks(end: bytes) -> Iterator[bytes]:
    block = b"0" * 1_000_000
    yield end
    for _ in range(SENT // len(block)):
        yield block


def most_memory(port: int) -> int:
    """The most memory that the server of a port has had so far, bytes."""
    for process in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError):
            words = (process / "cmdline").read_bytes().split(b"\0")
            if f"--server.port={port}".encode() in words:
                status = (process / "status").read_text()
                return int(status.partition("VmHWM:")[2].split()[0]) * 1024
    raise AssertionError("the server is not found")


def test_a_file_that_is_too_large_is_refused_on_the_page_in_one_sentence(visitor, tmp_path):
    one = visitor()
    sent = []
    one.page.on("request", lambda request: sent.append(request) if request.method == "PUT" else None)
    one.go()
    large = tmp_path / "large.csv"
    large.write_bytes(b"a,b\n" * (MOST_BYTES // 4 + 1_000_000))
    one.page.locator("input[type=file]").set_input_files(large)
    one.sees("File must be 20.0MB or smaller.")
    assert sent == []
    # files that are too large only together are refused by ours
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_bytes(b"a,b\n" * (MOST_BYTES // 6))
    one.go()
    one.page.locator("input[type=file]").set_input_files([tmp_path / "a.csv", tmp_path / "b.csv"])
    one.press("Open these files")
    one.sees("the files are too large, needs 20 MB at most in all")
    one.sees("What was open before is as it was.")


@pytest.mark.skipif(sys.platform != "linux", reason="memory is looked up as Linux has it")
def test_a_program_that_sends_without_end_is_refused_and_costs_little(visitor, tmp_path):
    one = visitor()
    one.go()
    small = tmp_path / "small.csv"
    small.write_bytes(b"a,b\n")
    with one.page.expect_request(lambda request: request.method == "PUT") as caught:
        one.page.locator("input[type=file]").set_input_files(small)
    one.sees("small.csv")
    headers = {key: value for key, value in caught.value.all_headers().items() if key != "content-length"}
    url = urlsplit(caught.value.url)
    before = most_memory(url.port)
    server = http.client.HTTPConnection("127.0.0.1", url.port, timeout=60)
    # in pieces, so that it is not known beforehand how many there are
    border = headers["content-type"].partition("boundary=")[2]
    begin = f'--{border}\r\nContent-Disposition: form-data; name="f"; filename="f.csv"\r\n\r\n'.encode()
    with contextlib.suppress(BrokenPipeError, ConnectionResetError):
        server.request("PUT", url.path, body=chunks(begin), headers=headers, encode_chunked=True)
    with contextlib.suppress(http.client.HTTPException, ConnectionError):
        assert server.getresponse().status == 413
    server.close()
    assert most_memory(url.port) - before < MOST_TAKEN
    # and others are still served
    other = visitor()
    other.go()
    other.sees("Nothing is open yet.")
