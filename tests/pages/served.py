"""A folder served over http on this machine alone, while a block runs."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path


class _Quiet(SimpleHTTPRequestHandler):
    protocol_version = "HTTP/1.1"
    # Browsers refuse modules and WebAssembly of another type; the machine's table may lack them.
    extensions_map = {  # noqa: RUF012 (the base class has a plain dict too)
        **SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
        ".mjs": "text/javascript",
        ".wasm": "application/wasm",
    }

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing: the tests record what the browser asked for."""


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """Serve `folder`; gives its address, ending in a slash."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Quiet, directory=str(folder)))
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
