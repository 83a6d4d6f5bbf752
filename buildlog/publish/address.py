"""Where a preview is served: its address as a person writes it, and whether it is free."""

from __future__ import annotations

import ipaddress
import socket

from buildlog.publish.putting import SiteError

HOST = "127.0.0.1"
"""This machine, seen from itself alone."""
PORT = 8000
_LAST_PORT = 65535


def read_address(text: str) -> tuple[str, int]:
    """
    Read `127.0.0.1:8000`, or one half of it: `localhost` or `8080`.

    Returns:
        Host (a name only where it is `localhost`) and port.

    Raises:
        SiteError: It is none; says how one is written.
    """
    text = text.strip()
    if text.isdecimal():
        host, port = HOST, text
    elif ":" in text:
        host, _, port = text.rpartition(":")
    else:
        host, port = text, str(PORT)
    host = host.removeprefix("[").removesuffix("]")
    if not _is_host(host) or not (port.isascii() and port.isdecimal() and 0 < int(port[:9]) <= _LAST_PORT):
        raise SiteError(
            f"{text} is no address to serve at; write host and port, such as {HOST}:{PORT}, or a port alone, such as "
            "8080"
        )
    return host, int(port)


def check_free(host: str, port: int) -> None:
    """
    Make sure that nobody else serves there.

    Raises:
        SiteError: Somebody does, or it is no address of this machine.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    try:
        # Asked as the server itself will ask, which may follow at once upon the last one.
        with socket.socket(family) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
    except OSError as error:
        raise SiteError(
            f"{host}:{port} cannot be used ({error.strerror}); end what uses it, or give another port, such as "
            f"--address {port + 1 if port < _LAST_PORT else PORT}"
        ) from None


def _is_host(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True
