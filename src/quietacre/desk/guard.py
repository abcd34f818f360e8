"""Who may speak to the desk: exactly this address, this page, and who holds the key.

Another page, another port, a name that was bound anew to this machine and another user of the
machine are strangers. A request that is refused is answered without reading what follows, and
its connection is closed, so that nothing behind it is taken for a request of its own.
"""

from __future__ import annotations

import hmac
import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    Headers = Sequence[tuple[bytes, bytes]]

KEY_HEADER = b"x-quietacre-key"
#: A starter of the same user that finds a desk running asks for a way in with this.
STARTER_HEADER = b"x-quietacre-starter"
LENGTH = re.compile(rb"[0-9]{1,10}")
#: The largest file a person may bring, and the largest word they may say.
MOST_FILE_BYTES = 64_000_000
MOST_WORD_BYTES = 1_000_000
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
#: A finished map is a page of its own: it may run, print and save, and is of no origin. The
#: desk alone may show it in a frame.
PAPER_POLICY = "sandbox allow-scripts allow-modals allow-downloads allow-popups; frame-ancestors 'self'"
MISDIRECTED, FORBIDDEN, TOO_LARGE, BAD, UNKNOWN_METHOD = 421, 403, 413, 400, 405
#: Where a person brings a file.
FILE_PATHS = ("/api/file", "/api/picture", "/api/photo", "/api/restore")
TICKET_PATH, STARTER_PATH = "/api/key", "/api/ticket"


@dataclass
class Secrets:
    """What opens the desk: the key, tickets that each give it once, the starter's own word."""

    key: str
    starter: str
    tickets: set[str] = field(default_factory=set)

    def take(self, ticket: str) -> bool:
        """Return whether a ticket is good; it is good once."""
        for known in self.tickets:
            if hmac.compare_digest(known.encode(), ticket.encode("utf-8", "replace")):
                self.tickets.discard(known)
                return True
        return False


@dataclass(frozen=True)
class Refusal:
    """Why a request is not taken."""

    status: int
    why: str


def check(scope: Scope, port: int, secrets: Secrets) -> Refusal | None:
    """Return why a request is refused, None when it may pass.

    Parameters
    ----------
    scope : an HTTP request as ASGI has it.
    port : where the desk listens.
    secrets : what opens it.
    """
    headers: Headers = scope["headers"]
    address = f"127.0.0.1:{port}".encode()
    if _all(headers, b"host") != [address]:
        return Refusal(MISDIRECTED, "this desk answers to its own address only")
    method, path = scope["method"], scope["path"]
    if method not in ("GET", "POST"):
        return Refusal(UNKNOWN_METHOD, "the desk reads and takes, nothing else")
    if (bad := _check_length(headers, path)) is not None:
        return bad
    if ".." in path.split("/") or "\\" in path or "//" in path:
        return Refusal(BAD, "that is no place here")
    site = _all(headers, b"sec-fetch-site")
    if site and site not in ([b"same-origin"], [b"none"]):
        return Refusal(FORBIDDEN, "another page may not ask the desk")
    if path == STARTER_PATH:
        held = _all(headers, STARTER_HEADER)
        good = len(held) == 1 and hmac.compare_digest(held[0], secrets.starter.encode())
        return None if good and method == "POST" else Refusal(FORBIDDEN, "not the starter")
    if method == "POST" and _all(headers, b"origin") != [b"http://" + address]:
        return Refusal(FORBIDDEN, "another page may not tell the desk anything")
    if path.startswith("/api/") and path != TICKET_PATH:
        held = _all(headers, KEY_HEADER)
        if len(held) != 1 or not hmac.compare_digest(held[0], secrets.key.encode()):
            return Refusal(
                FORBIDDEN, "this tab has no key: open the desk again from its starter"
            )
    return None


def _all(headers: Headers, name: bytes) -> list[bytes]:
    return [value for key, value in headers if key.lower() == name]


def _check_length(headers: Headers, path: str) -> Refusal | None:
    """Return why the length that a request tells is not taken."""
    if _all(headers, b"transfer-encoding"):
        return Refusal(BAD, "its length must be told")
    declared = _all(headers, b"content-length")
    if not declared:
        return None
    if len(declared) != 1 or LENGTH.fullmatch(declared[0]) is None:
        return Refusal(BAD, "its length is no number")
    most = MOST_FILE_BYTES if path in FILE_PATHS else MOST_WORD_BYTES
    if int(declared[0]) > most:
        return Refusal(TOO_LARGE, f"more than {most // 1_000_000} MB is not taken")
    return None


class Guarded:
    """An ASGI application behind the guard."""

    def __init__(self, app: ASGIApp, port: int, secrets: Secrets) -> None:
        self.app, self.port, self.secrets = app, port, secrets

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it and close its connection."""
        if scope["type"] != "http":
            raise RuntimeError("the desk speaks plain requests only")
        refusal = check(scope, self.port, self.secrets)
        if refusal is None:
            await self.app(scope, receive, _with_policy(scope, send))
            return
        body = refusal.why.encode()
        await send(
            {
                "type": "http.response.start",
                "status": refusal.status,
                "headers": [
                    (b"content-type", b"text/plain; charset=utf-8"),
                    (b"content-length", str(len(body)).encode()),
                    (b"connection", b"close"),
                ],
            }
        )
        await send({"type": "http.response.body", "body": body})


def _with_policy(scope: Scope, send: Send) -> Send:
    """Return a way to send that puts the page's policy on every answer."""
    paper = scope["path"].startswith("/paper/")
    policy = PAPER_POLICY if paper else POLICY

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [
                *message.get("headers", ()),
                (b"content-security-policy", policy.encode()),
                (b"x-content-type-options", b"nosniff"),
                (b"referrer-policy", b"no-referrer"),
                (b"cross-origin-resource-policy", b"same-origin"),
                (b"cross-origin-opener-policy", b"same-origin"),
                (b"cache-control", b"no-store"),
            ]
        await send(message)

    return sent
