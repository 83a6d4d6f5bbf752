"""Where a preview is served."""

from __future__ import annotations

import socket

import pytest

from buildlog.publish.address import check_free, read_address
from buildlog.publish.putting import SiteError


@pytest.mark.parametrize(
    ("written", "read"),
    [
        pytest.param("127.0.0.1:8080", ("127.0.0.1", 8080), id="both"),
        pytest.param("8977", ("127.0.0.1", 8977), id="port"),
        pytest.param("localhost", ("localhost", 8000), id="name"),
        pytest.param("0.0.0.0", ("0.0.0.0", 8000), id="number"),  # noqa: S104 - read, not served
        pytest.param(" localhost:81 ", ("localhost", 81), id="spaces"),
        pytest.param("[::1]:8000", ("::1", 8000), id="version-6"),
    ],
)
def test_addresses(written, read):
    """Host and port are read, and what is left out is this machine and port 8000."""
    assert read_address(written) == read


@pytest.mark.parametrize(
    "written", ["", "nonsense", ":8000", "localhost:", "127.0.0.1:http", "99999", "0", "www.example.org:8000", "::1"]
)
def test_what_is_no_address(written):
    """Anything else is refused with an example."""
    with pytest.raises(SiteError, match=r"is no address to serve at; write host and port, such as 127\.0\.0\.1:8000"):
        read_address(written)


def test_an_address_in_use():
    """A port that somebody serves at is refused with another one; a free one is not."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]

        with pytest.raises(SiteError, match=rf"127\.0\.0\.1:{port} cannot be used .*--address {port + 1}"):
            check_free("127.0.0.1", port)
    check_free("127.0.0.1", port)
