"""Who may ask the desk, and how much may be sent: checked before any page is looked for."""

from __future__ import annotations

import hmac
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs, urlencode

from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST = 64 * 1024 * 1024  # of one request [bytes]: a long log is 20 MB, a photograph 15 MB
DRAINED = 1024 * 1024 * 1024  # read and thrown away, so that a browser sees the refusal, not a broken line
SAFE_METHODS = ("GET", "HEAD")
POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; object-src 'none'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
)
CLOSED = (
    "This desk belongs to whoever started it. Open the address that 'slowflight desk' printed in its"
    " terminal; it changes with every start.\n"
)


class TooMuch(Exception):
    """More was sent than the desk takes."""


class Guard:
    """Let through only requests of this machine's own browser that know the token.

    Parameters
    ----------
    app : ASGI application
    token : str
        Secret of this session.
    port : int
        On which the desk listens; other hosts and origins are refused, so that no page from elsewhere can
        reach it under a name that leads here.
    """

    def __init__(self, app: ASGIApp, *, token: str, port: int) -> None:
        self._app, self._token = app, token
        self._hosts = {f"{name}:{port}" for name in ("127.0.0.1", "localhost")}
        self._origins = {f"http://{host}" for host in self._hosts}
        self._cookie = f"desk-{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer or pass on one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        refused = self._refusal(scope, headers)
        if refused is not None:
            await refused(scope, receive, _with_headers(send))
            return
        if scope["method"] not in SAFE_METHODS and _length(headers) > LARGEST:
            await _drain(receive)
            await _too_much()(scope, receive, _with_headers(send))
            return
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > LARGEST:
                raise TooMuch
            return message

        try:
            await self._app(scope, counted, _with_headers(send))
        except TooMuch:
            await _too_much()(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope, headers: dict[str, str]) -> ASGIApp | None:
        if headers.get("host", "") not in self._hosts:
            return PlainTextResponse("The desk answers only as 127.0.0.1 on its own port.\n", 421)
        if scope["method"] not in SAFE_METHODS and headers.get("origin", "") not in self._origins:
            return PlainTextResponse("Changes are taken from the desk's own pages only.\n", 403)
        asked = parse_qs(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        given = asked.pop("token", [""])[0]
        if given and self._is_token(given):
            rest = urlencode(asked, doseq=True)
            # Out of the address at once, so that neither history nor a screenshot keeps it.
            answer = RedirectResponse(_own_path(scope) + (f"?{rest}" if rest else ""), 303)
            answer.set_cookie(self._cookie, self._token, httponly=True, samesite="strict", path="/")
            return answer
        if not self._is_token(_cookie(headers.get("cookie", ""), self._cookie)):
            return PlainTextResponse(CLOSED, 403)
        return None

    def _is_token(self, given: str) -> bool:
        return hmac.compare_digest(given.encode(), self._token.encode())


def _own_path(scope: Scope) -> str:
    """Path to go to, which can never be read as another machine's name."""
    path = str(scope.get("raw_path", b"/").decode("latin-1")).split("?")[0]
    return "/" + path.lstrip("/\\")


def _cookie(header: str, name: str) -> str:
    try:
        found = SimpleCookie(header).get(name)
    except CookieError:
        return ""
    return "" if found is None else found.value


def _length(headers: dict[str, str]) -> int:
    text = headers.get("content-length", "0")
    return int(text) if text.isascii() and text.isdigit() else LARGEST + 1


async def _drain(receive: Receive) -> None:
    seen = 0
    while seen < DRAINED:
        message = await receive()
        seen += len(message.get("body", b""))
        if message["type"] != "http.request" or not message.get("more_body", False):
            return


def _too_much() -> PlainTextResponse:
    most = LARGEST // (1024 * 1024)
    return PlainTextResponse(
        f"That is more than {most} MB; nothing was stored. Send one log at a time,"
        " or cut it to the flight.\n",
        413,
    )


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            there = {name.lower() for name, _ in message["headers"]}
            message["headers"] = [*message["headers"], *HEADERS]
            if b"content-security-policy" not in there:
                message["headers"].append((b"content-security-policy", POLICY.encode()))
            if b"cache-control" not in there:
                message["headers"].append((b"cache-control", b"no-store"))
        await send(message)

    return sent
