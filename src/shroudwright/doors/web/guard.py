"""What a request must be, and what a page may load.

Guard     around the application: hosts, origins, sizes, the tablet's code, headers
"""

import hmac
from collections.abc import Collection
from http.cookies import SimpleCookie
from urllib.parse import urlsplit

from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST = 6_000_000
COOKIE = "shop-code"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; frame-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
_WRITES = frozenset({"POST", "PUT", "PATCH", "DELETE"})
_OPEN = frozenset({"/pair", "/static/app.css"})


class Guard:
    """Let through what comes from this shop's own pages; everything else gets a line of plain text."""

    def __init__(self, app: ASGIApp, hosts: Collection[str], code: str | None = None) -> None:
        self.app, self.hosts, self.code = app, frozenset(hosts), code

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check one request, then hand it on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = {name.decode("latin-1").lower(): value.decode("latin-1") for name, value in scope["headers"]}
        refused = self._refused(scope, headers)
        if refused is not None:
            status, words = refused
            await _plain(send, status, words)
            return

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                own = {name.lower() for name, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"],
                    *((name.encode(), value.encode()) for name, value in _HEADERS.items() if name.encode() not in own),
                ]
            await send(message)

        await self.app(scope, receive, sent)

    def _refused(self, scope: Scope, headers: dict[str, str]) -> tuple[int, str] | None:
        host = headers.get("host", "")
        if _name_of(host) not in self.hosts:
            return 421, "this shop does not answer to that name"
        if scope["method"] in _WRITES and (refused := _refused_write(host, headers)):
            return refused
        if self.code is not None and scope["path"] not in _OPEN and not self._is_paired(scope, headers):
            return 401, "open /pair and type the code shown on the shop's computer"
        return None

    def _is_paired(self, scope: Scope, headers: dict[str, str]) -> bool:
        client = scope.get("client")
        if client is not None and client[0] in ("127.0.0.1", "::1"):
            return True
        held = SimpleCookie(headers.get("cookie", "")).get(COOKIE)
        return held is not None and self.code is not None and hmac.compare_digest(held.value, self.code)


def _refused_write(host: str, headers: dict[str, str]) -> tuple[int, str] | None:
    origin, site = headers.get("origin"), headers.get("sec-fetch-site", "same-origin")
    if (origin is not None and urlsplit(origin).netloc != host) or site not in ("same-origin", "none"):
        return 403, "only this shop's own pages may change its jobs"
    length = headers.get("content-length")
    if length is None and "transfer-encoding" in headers:
        return 411, "say how long it is"
    if length is not None and (not length.isdigit() or int(length) > LARGEST):
        return 413, f"too large: {LARGEST // 1_000_000} MB at most"
    return None


def _name_of(host: str) -> str:
    return urlsplit(f"//{host}").hostname or ""


async def _plain(send: Send, status: int, words: str) -> None:
    body = f"{words}\n".encode()
    head = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": status, "headers": head})
    await send({"type": "http.response.body", "body": body})
