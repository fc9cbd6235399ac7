"""A proxy on this machine that stands between a browser and the world: it notes what is asked for, and gives nothing."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer


@dataclass
class Proxy:
    """Where the proxy listens, and the addresses that browsers have asked it for; a tunnel's is `host:port`."""

    port: int = 0
    asked: list[str] = field(default_factory=list)


@contextmanager
def listening() -> Iterator[Proxy]:
    """A proxy while a block runs."""
    proxy = Proxy()

    class Handler(BaseHTTPRequestHandler):
        def refuse(self) -> None:
            proxy.asked.append(self.path)
            self.send_error(502)

        do_GET = do_POST = do_HEAD = do_OPTIONS = do_PUT = do_CONNECT = refuse  # noqa: N815 (the server's names)

        def log_message(self, format: str, *args: object) -> None:
            """Say nothing: `asked` is the record."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    proxy.port = server.server_port
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield proxy
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
