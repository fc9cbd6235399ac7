"""A folder served over http on this machine alone, while a block runs."""

import contextlib
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any


class _Quiet(SimpleHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    # Browsers refuse modules and WebAssembly of another type; the machine's table may lack them.
    extensions_map = {  # noqa: RUF012 (the base class has a plain dict too)
        **SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".mjs": "text/javascript",
        ".wasm": "application/wasm",
        ".webmanifest": "application/manifest+json",
    }

    def __init__(self, *args: Any, seen: list[str] | None, hangs_up: Callable[[str], bool], **options: Any) -> None:
        self._seen = seen
        self._hangs_up = hangs_up
        super().__init__(*args, **options)

    def do_GET(self) -> None:
        """Answer, or break the connection off."""
        if self._hangs_up(self.path):
            self.close_connection = True
        else:
            super().do_GET()

    def log_request(self, code: int | str = "-", size: int | str = "-") -> None:
        """Keep what was asked for, for whoever wants to count."""
        if self._seen is not None:
            self._seen.append(f"{int(code)} {self.path}")

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing: the tests record what the browser asked for."""


class _Server(ThreadingHTTPServer):
    """A server that hangs up on everybody when it ends, as one that is switched off."""

    daemon_threads = True

    def __init__(self, *args: Any) -> None:
        self._talking: list[socket.socket] = []
        super().__init__(*args)

    def process_request(self, request: Any, client_address: Any) -> None:
        self._talking.append(request)
        super().process_request(request, client_address)

    def server_close(self) -> None:
        super().server_close()
        for each in self._talking:
            with contextlib.suppress(OSError):
                each.shutdown(socket.SHUT_RDWR)

    def handle_error(self, request: Any, client_address: Any) -> None:
        """A browser that hangs up first is nothing to tell of."""


@contextmanager
def served(
    folder: Path, *, port: int = 0, seen: list[str] | None = None, hangs_up: Callable[[str], bool] = lambda path: False
) -> Iterator[str]:
    """Serve `folder`; gives its address, ending in a slash.

    `seen` gets "status path" of every answer. Where `hangs_up` says so of a path, there is none, as when the line breaks.
    """
    server = _Server(("127.0.0.1", port), partial(_Quiet, directory=str(folder), seen=seen, hangs_up=hangs_up))
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
