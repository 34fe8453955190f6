"""Who may talk to the desk, and what its answers may do in a browser: a pure ASGI wrapper round the app.

The dangers are other pages in the same browser (forged requests, DNS rebinding, framing), other users of the same
machine, and text from talks, PGN and captions that holds scripts. Against them: the Host header must name this
server; the Origin of everything that changes something, and of every WebSocket, must be this server; a secret,
taken once from the address and kept in a cookie that no script and no other site sees; a policy that allows no
script but the desk's own files; bounded bodies. See the Fetch standard (Origin), RFC 6265bis (SameSite) and
Content Security Policy Level 3.
"""

from __future__ import annotations

import hmac
import ipaddress
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, urlencode, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: What a desk page may load and do: only from this server, no inline script, never inside another page.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; media-src 'self' blob:; "
    "font-src 'self'; connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; "
    "form-action 'self'; frame-ancestors 'none'"
)
#: For files that others made (a built lesson page with its own script): it runs, but as a stranger to the desk.
STRANGER = "sandbox allow-scripts allow-popups allow-downloads; frame-ancestors 'none'"

HEADERS = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "microphone=(self), camera=(), geolocation=(), payment=(), usb=()",
}

#: Bytes in a request's body unless its path has a limit of its own: no talk's text comes near.
MOST_BODY = 4 * 2**20
#: Seconds that a browser may keep the desk's cookie; the secret itself dies with the server.
COOKIE_LIFE = 30 * 24 * 3600

_SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
#: An answer's status when the connection is a WebSocket: the policy-violation close code of RFC 6455.
_REFUSED = 1008


@dataclass(frozen=True, slots=True)
class Door:
    """What the guard lets in.

    :param hosts: Host headers that name this server, lower case, with their port (``127.0.0.1:8123``).
    :param token: the secret of this run.
    :param everywhere: the server is bound to every address: whatever address a browser names is its own. (Names are
        not: one may be bound to this machine's address after a page was loaded; an address can't.)
    :param limits: bytes in a body by path prefix; the longest prefix counts, :data:`MOST_BODY` elsewhere.
    """

    hosts: frozenset[str]
    token: str
    everywhere: bool = False
    limits: Mapping[str, int] = field(default_factory=dict)

    @property
    def cookie(self) -> str:
        """The cookie's name; cookies know no ports, so two desks on one machine need two names."""
        ports = sorted({host.rpartition(":")[2] for host in self.hosts})
        return "linewright-desk-" + "-".join(ports)

    def named(self, host: str) -> bool:
        """A Host header, or the host of an Origin, that names this server."""
        host = host.lower()
        if host in self.hosts:
            return True
        address, _, port = host.rpartition(":")
        return self.everywhere and any(known.endswith(f":{port}") for known in self.hosts) and is_address(address)

    def limit(self, path: str) -> int:
        """Bytes that a body sent to this path may have."""
        fitting = [prefix for prefix in self.limits if path.startswith(prefix)]
        return self.limits[max(fitting, key=len)] if fitting else MOST_BODY


class BodyTooLarge(Exception):
    """A body went over its limit while it was read; the guard answers 413."""


def host_names(host: str, port: int, also: Iterable[str] = ()) -> frozenset[str]:
    """The Host headers that name a server bound to ``host``: loopback's names, its own, and those named besides.

    A server bound to every address answers to loopback's names and to ``also`` only: any other name could be an
    attacker's, bound to this machine's address after the page was loaded.
    """
    names = {"127.0.0.1", "localhost", "[::1]", *also}
    bare = host.strip("[]")
    try:
        address = ipaddress.ip_address(bare)
        if not address.is_unspecified:
            names.add(f"[{bare}]" if address.version == 6 else bare)
    except ValueError:
        names.add(bare)
    return frozenset(f"{name.lower()}:{port}" for name in names) | (
        frozenset(name.lower() for name in names) if port == 80 else frozenset()
    )


def is_address(host: str) -> bool:
    """An IP address as a Host header writes it, IPv6 in brackets."""
    bare = host[1:-1] if host.startswith("[") and host.endswith("]") else host
    try:
        return (ipaddress.ip_address(bare).version == 6) == (bare != host)
    except ValueError:
        return False


class Guard:
    """Wraps an app; see the module. Refusals are given in one plain sentence."""

    def __init__(self, app: ASGIApp, door: Door) -> None:
        self.app = app
        self.door = door

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        why = refusal(self.door, scope, headers)
        if why is not None:
            await _refuse(scope, receive, send, *why)
        elif scope["type"] == "websocket":
            if _has_cookie(self.door, headers):
                await self.app(scope, receive, send)
            else:
                await _refuse(scope, receive, send, *_NO_TOKEN)
        elif token := _query_token(scope):
            if hmac.compare_digest(token.encode(), self.door.token.encode()):
                await _welcome(self.door, scope, send)
            else:
                await _refuse(scope, receive, send, *_NO_TOKEN)
        elif not _has_cookie(self.door, headers):
            await _refuse(scope, receive, send, *_NO_TOKEN)
        else:
            await self._bounded(scope, receive, send, headers)

    async def _bounded(self, scope: Scope, receive: Receive, send: Send, headers: Headers) -> None:
        """Run the app with a body that is counted and an answer that carries the desk's headers."""
        limit = self.door.limit(scope["path"])
        declared = headers.get("content-length", "0")
        if not declared.isascii() or not declared.isdigit() or int(declared) > limit:
            await _refuse(scope, receive, send, *_too_large(limit))
            return
        came = 0
        begun = False

        async def counted() -> Message:
            nonlocal came
            message = await receive()
            if message["type"] == "http.request":
                came += len(message.get("body", b""))
                if came > limit:
                    raise BodyTooLarge
            return message

        async def dressed(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                _dress(message)
            await send(message)

        try:
            await self.app(scope, counted, dressed)
        except BodyTooLarge:
            if begun:
                raise
            await _refuse(scope, receive, send, *_too_large(limit))
        except Exception:
            # What answers it outside the guard would leave out the policy; the trouble itself goes on to the log.
            if not begun:
                await _refuse(scope, receive, send, *_TROUBLE)
            raise


def refusal(door: Door, scope: Scope, headers: Headers) -> tuple[int, str] | None:
    """Why a request is refused whoever sends it (status and sentence): a strange Host, or another site's Origin."""
    hosts = headers.getlist("host")
    if len(hosts) != 1 or not door.named(hosts[0]):
        return 421, "This address is not the desk's. Open the address that the desk printed when it started."
    origins = headers.getlist("origin")
    changes = scope["type"] == "websocket" or scope["method"] not in _SAFE
    if (changes and not origins) or any(not _own(door, origin) for origin in origins):
        return 403, "This request comes from another page than the desk's own."
    if headers.get("sec-fetch-site", "none") not in ("same-origin", "none") and (
        changes or headers.get("sec-fetch-mode") != "navigate"
    ):
        return 403, "This request comes from another page than the desk's own."
    return None


_NO_TOKEN = (
    403,
    "The desk doesn't know this browser. Open the whole address that the desk printed when it started, "
    "with the part after the question mark.",
)
_TROUBLE = 500, "The desk could not do this. What went wrong stands where the desk was started: please report it."


def _too_large(limit: int) -> tuple[int, str]:
    return 413, f"This is more than the desk takes here ({limit / 2**20:.3g} MB)."


def _own(door: Door, origin: str) -> bool:
    """An Origin that is this server itself; ``null`` and other schemes, hosts and ports are not."""
    try:
        parts = urlsplit(origin)
    except ValueError:
        return False
    return parts.scheme == "http" and door.named(parts.netloc) and not (parts.path or parts.query)


def _has_cookie(door: Door, headers: Headers) -> bool:
    for line in headers.getlist("cookie"):
        try:
            morsel = SimpleCookie(line).get(door.cookie)
        except CookieError:
            continue
        if morsel is not None and hmac.compare_digest(morsel.value.encode(), door.token.encode()):
            return True
    return False


def _query_token(scope: Scope) -> str | None:
    if scope["method"] != "GET":
        return None
    query = parse_qsl(scope.get("query_string", b"").decode("latin-1"))
    return next((value for name, value in query if name == "token"), None)


async def _welcome(door: Door, scope: Scope, send: Send) -> None:
    """Keep the secret in a cookie and go to the same page without it, so that it stays out of sight."""
    query = [(n, v) for n, v in parse_qsl(scope["query_string"].decode("latin-1")) if n != "token"]
    path = "/" + scope.get("raw_path", scope["path"].encode()).decode("latin-1").partition("?")[0].lstrip("/")
    cookie = f"{door.cookie}={door.token}; Path=/; HttpOnly; SameSite=Strict; Max-Age={COOKIE_LIFE}"
    message: Message = {
        "type": "http.response.start",
        "status": 303,
        "headers": [
            (b"location", (path + ("?" + urlencode(query) if query else "")).encode("latin-1")),
            (b"set-cookie", cookie.encode("latin-1")),
            (b"cache-control", b"no-store"),
            (b"content-length", b"0"),
        ],
    }
    _dress(message)
    await send(message)
    await send({"type": "http.response.body", "body": b""})


def _dress(message: Message) -> None:
    """Give an answer the desk's headers; a policy that the app set itself stays."""
    headers = MutableHeaders(raw=message["headers"])
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    headers.setdefault("content-security-policy", POLICY)
    headers.setdefault("cache-control", "no-cache")
    message["headers"] = headers.raw


async def _refuse(scope: Scope, receive: Receive, send: Send, status: int, why: str) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": _REFUSED, "reason": why[:120]})
        return
    body = why.encode()
    message: Message = {
        "type": "http.response.start",
        "status": status,
        "headers": [
            (b"content-type", b"text/plain; charset=utf-8"),
            (b"content-length", str(len(body)).encode()),
            (b"cache-control", b"no-store"),
        ],
    }
    _dress(message)
    await send(message)
    await send({"type": "http.response.body", "body": body})
