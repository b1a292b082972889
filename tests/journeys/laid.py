"""Pages that the test's own client drew, laid into a browser: a small server of this process hands them out, and our own files.

No server of the program is started.

The browser keeps our files and what it compiled of them from one page to the next. Were each request handed to the test instead,
it would keep nothing: every page would fetch and read every script and font anew.
"""

import mimetypes
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import unquote

from django.contrib.staticfiles import finders
from playwright.sync_api import Browser, BrowserContext, ProxySettings

_HOST = "bench.invalid"
ADDRESS = f"http://{_HOST}"
"""Where the pages are for the browser: a name that is nobody's, in the clear, as a tablet without a certificate has them."""


@contextmanager
def laid_pages(
    browser: Browser, pages: dict[str, str], *scripts: Path, language: str | None = None
) -> Iterator[BrowserContext]:
    """Where this browser finds these pages under `ADDRESS`, each by its path and query, and scripts by their names.

    A page that is added later is found as well. *language* is the tablet's.
    """
    files = {f"/{script.name}": script for script in scripts}
    hands = type("Handing", (_Handing,), {"pages": pages, "files": files})
    with ThreadingHTTPServer(("127.0.0.1", 0), hands) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        try:
            here: ProxySettings = {"server": f"http://127.0.0.1:{server.server_port}"}
            with browser.new_context(proxy=here, base_url=ADDRESS, locale=language) as context:
                yield context
        finally:
            server.shutdown()


class _Handing(BaseHTTPRequestHandler):
    """A drawn page, a file of ours, or nothing."""

    protocol_version = "HTTP/1.1"
    pages: dict[str, str]
    files: dict[str, Path]

    def do_GET(self) -> None:
        # As one asks who passes requests on: by the whole address.
        path = unquote(self.path.removeprefix(ADDRESS))
        if path.startswith("/static/"):
            found = finders.find(path.removeprefix("/static/").partition("?")[0])
            return self._file(Path(found)) if isinstance(found, str) else self._answer(404)
        if path in self.files:
            return self._file(self.files[path])
        if path in self.pages:
            return self._answer(200, self.pages[path].encode(), "text/html; charset=utf-8")
        return self._answer(204)

    def do_POST(self) -> None:
        self.rfile.read(int(self.headers.get("Content-Length", 0)))
        self._answer(204)

    def _file(self, found: Path) -> None:
        kind = mimetypes.guess_type(found)[0] or "application/octet-stream"
        self._answer(200, found.read_bytes(), kind, keep="max-age=3600")

    def _answer(self, status: int, body: bytes = b"", kind: str = "", keep: str = "no-store") -> None:
        self.send_response(status)
        if kind:
            self.send_header("Content-Type", kind)
        self.send_header("Cache-Control", keep)
        if status != 204:
            self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *words: object) -> None:
        """Nobody reads it."""
