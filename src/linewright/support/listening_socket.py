"""Sockets that pages are served from: bound to an address, and whether only this machine reaches it."""

from __future__ import annotations

import socket
from ipaddress import ip_address

from linewright.support.errors import UnusableInput

#: Only this machine reaches it.
LOOPBACK = "127.0.0.1"


def bind(host: str, port: int) -> socket.socket:
    """A listening socket.

    :raises UnusableInput: when the address can't be bound.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = socket.socket(family, socket.SOCK_STREAM)
    bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        bound.bind((host, port))
        bound.listen()  # at once, so that a browser that is quick waits instead of being refused
    except OSError as error:
        bound.close()
        raise UnusableInput(
            f"{host}:{port}: this address can't be opened: {error.strerror or error}",
            "Try another --port, or leave it out.",
        ) from None
    return bound


def is_loopback(host: str) -> bool:
    """Only this machine reaches it."""
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host.lower() == "localhost"
