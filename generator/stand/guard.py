"""The guard at the door of the stand page: who may ask for what, before anything else looks at it.

A page on the web can make a browser knock at 127.0.0.1, and can make a name of its own point there (rebinding). So only
our own addresses are answered (RFC 9110, 15.5.20: 421), every change needs our own Origin (RFC 6454) and a type that no
foreign form can send, and nothing may be framed or read across origins. On a network everybody else knocks too: there
the device shows a code of 128 bits once and a cookie from then on.
"""

import asyncio
import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs

from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST = 16 << 10  # bytes of a POST
COOKIE = "stand"
_YEAR = 365 * 24 * 3600  # seconds
_SLOWEST = 8.0  # seconds
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = (
    ("content-security-policy", POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), geolocation=(), microphone=()"),
)
_ASK = """<!doctype html><html lang="en"><meta charset="utf-8"><meta name="viewport" content="width=device-width">
<title>Stand page</title><h1>Which stand is this?</h1>
<p>Scan the code on the computer's screen, or type it here.</p>
<form action="/" method="get"><p><label>Code <input name="code" autocomplete="off" autocapitalize="none"
spellcheck="false" required></label> <button>Go on</button></p></form></html>"""


class Guard:
    """Lets through what may go through, and gives every answer its headers.

    Args:
        app: what is guarded.
        hosts: what the Host header may be.
        code: what a device has to know, or "" where only this computer can ask.
        sleep: waits some seconds; for tests.
    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: frozenset[str],
        code: str = "",
        sleep: Callable[[float], Awaitable[None]] = asyncio.sleep,
    ) -> None:
        self._app, self._hosts, self._code, self._sleep = app, hosts, plain_code(code), sleep
        self._wrong = 0
        self._turn: asyncio.Lock | None = None

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or hand it on."""
        if scope["type"] != "http":
            return
        scope.setdefault("state", {})

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                _dress(message, scope["path"])
            await send(message)

        refusal = self._refused(scope) or await self._unknown(scope)
        if refusal is None and scope["method"] == "POST":
            refusal = _ill_sent(scope)
            if refusal is None:
                body = await _body(receive)
                if body is None:
                    refusal = _told(413, f"at most {MOST} bytes can be sent at once")
                else:
                    receive = _again(body)
        await (refusal or self._app)(scope, receive, dressed)

    def _refused(self, scope: Scope) -> Response | None:
        host = _header(scope, b"host")
        if host not in self._hosts:
            return _told(421, "this server has another address")
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return _told(405, "only GET and POST are answered")
        if _header(scope, b"sec-fetch-site") == "cross-site" and scope["path"] != "/":
            return _told(403, "another site may not ask for this")
        return None

    async def _unknown(self, scope: Scope) -> Response | None:
        """A refusal for a device that does not know the code, or its cookie once it does."""
        if not self._code:
            return None
        given = parse_qs(scope["query_string"].decode("latin-1")).get("code", [])
        if scope["path"] == "/" and scope["method"] == "GET" and given:
            return await self._tried(given[0])
        if _same(_cookie(scope), self._code):
            return None
        if scope["path"] == "/":
            return HTMLResponse(_ASK, 401)
        return _told(401, "show the code first: open the address with the code on the computer's screen")

    async def _tried(self, given: str) -> Response:
        """One at a time, so that many guesses at once are as slow as one after the other."""
        self._turn = self._turn or asyncio.Lock()
        async with self._turn:
            if not _same(plain_code(given), self._code):
                self._wrong += 1
                await self._sleep(min(_SLOWEST, 0.25 * 2 ** min(self._wrong, 8)))
                return HTMLResponse(_ASK, 401)
            self._wrong = 0
        answer = RedirectResponse("/", 303)
        answer.set_cookie(COOKIE, self._code, max_age=_YEAR, httponly=True, samesite="strict", path="/")
        return answer


def plain_code(text: str) -> str:
    """A code as it is compared: capital letters and digits alone, for people type it in groups."""
    return "".join(c for c in text.upper() if c.isascii() and c.isalnum())


def _same(one: str, other: str) -> bool:
    return hmac.compare_digest(one.encode(), other.encode())


def _cookie(scope: Scope) -> str:
    try:
        found = SimpleCookie(_header(scope, b"cookie")).get(COOKIE)
    except CookieError:
        return ""
    return found.value if found else ""


def _ill_sent(scope: Scope) -> Response | None:
    if _header(scope, b"origin") != f"http://{_header(scope, b'host')}":
        return _told(403, "only the page itself may change anything")
    kind = _header(scope, b"content-type").partition(";")[0].strip().casefold()
    if kind != "application/json":
        return _told(415, "only application/json is read")
    length = _header(scope, b"content-length")
    if length and (not length.isdigit() or int(length) > MOST):
        return _told(413, f"at most {MOST} bytes can be sent at once")
    return None


async def _body(receive: Receive) -> bytes | None:
    """What was sent, or None if it is too much."""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return b""
        part = message.get("body", b"")
        size += len(part)
        if size > MOST:
            return None
        parts.append(part)
        if not message.get("more_body"):
            return b"".join(parts)


def _again(body: bytes) -> Receive:
    given = False

    async def receive() -> MutableMapping[str, Any]:
        nonlocal given
        if given:
            await asyncio.Event().wait()  # whoever waits for the end of the connection is cancelled with it
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return receive


def _dress(message: Message, path: str) -> None:
    headers = message.setdefault("headers", [])
    there = {name for name, _ in headers}
    headers += [(n.encode(), v.encode()) for n, v in HEADERS if n.encode() not in there]
    if b"cache-control" not in there:
        kept = b"no-store" if path.startswith("/api/") or path == "/" else b"no-cache"
        headers.append((b"cache-control", kept))


def _header(scope: Scope, name: bytes) -> str:
    """A header that may be there once; several of one name count as a foreign one."""
    found = [value for key, value in scope["headers"] if key == name]
    return found[0].decode("latin-1") if len(found) == 1 else ""


def _told(status: int, message: str) -> Response:
    return JSONResponse({"error": {"message": message}}, status)
