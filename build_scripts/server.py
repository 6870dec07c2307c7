"""A small web server for the built handbook, for reading it on this machine and for the browser tests."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

HOST = "127.0.0.1"

# Browsers refuse scripts and compile WebAssembly slowly when the type is wrong, and systems differ in what
# their own tables say.
CONTENT_TYPES = {
    ".html": "text/html; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".webmanifest": "application/manifest+json",
    ".wasm": "application/wasm",
    ".zip": "application/zip",
    ".whl": "application/zip",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".xml": "application/xml",
}


class Handler(SimpleHTTPRequestHandler):
    """Serves one folder. A browser may keep a file but must ask each time whether it has changed."""

    protocol_version = "HTTP/1.1"  # keeps connections open, as real servers do
    extensions_map = {**SimpleHTTPRequestHandler.extensions_map, **CONTENT_TYPES}

    def send_head(self):  # type: ignore[no-untyped-def]  # as in the base class
        # The base class compares whole seconds, and a rebuilt file can be the same second's.
        del self.headers["If-Modified-Since"]
        tag = self._tag()
        if tag is not None and self.headers.get("If-None-Match") == tag:
            self.send_response(HTTPStatus.NOT_MODIFIED)
            self.end_headers()
            return None
        return super().send_head()

    def end_headers(self) -> None:
        self.send_header("Cache-Control", "no-cache")
        tag = self._tag()
        if tag is not None:
            self.send_header("ETag", tag)
        super().end_headers()

    def send_error(self, code, message=None, explain=None):  # type: ignore[no-untyped-def]
        page = Path(self.directory, "404.html")
        if code != HTTPStatus.NOT_FOUND or not page.exists():
            super().send_error(code, message, explain)
            return
        content = page.read_bytes()
        self.send_response(code)
        self.send_header("Content-Type", CONTENT_TYPES[".html"])
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def log_request(self, code="-", size="-"):  # type: ignore[no-untyped-def]
        pass  # errors are still printed

    def _tag(self) -> str | None:
        """A mark that changes whenever the requested file does; None where there is no such file."""
        file = Path(self.translate_path(self.path))
        if file.is_dir():
            file = file / "index.html"
        try:
            status = file.stat()
        except OSError:
            return None
        return f'"{status.st_ino:x}-{status.st_size:x}-{status.st_mtime_ns:x}"'


class Server(ThreadingHTTPServer):
    """A server that ends with the process and lets a just-used port be used again."""

    daemon_threads = True
    allow_reuse_address = True

    def handle_error(self, request, client_address):  # type: ignore[no-untyped-def]
        """Say nothing of browsers that hang up half-way, which they do all the time."""


def make(folder: Path, port: int) -> Server:
    """A server of `folder` at 127.0.0.1 and `port` (0: any free one). Raises OSError if it is taken."""
    return Server((HOST, port), partial(Handler, directory=str(folder)))


@contextmanager
def in_background(folder: Path, port: int = 0) -> Iterator[str]:
    """Serve `folder` from a thread for as long as the `with` block runs; gives the address, no slash."""
    server = make(folder, port)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://{HOST}:{server.server_port}"
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
