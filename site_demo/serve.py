"""Serve the built site on this machine only, and build it again when a source changes."""

import subprocess
import sys
import threading
import time
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer

from site_demo.app import RETIRED_CODE, WORKER
from site_demo.stamps import ROOT, files_under

ADDRESS, PORT = "127.0.0.1", 8000
SECONDS_BETWEEN_LOOKS = 1.0


class Handler(SimpleHTTPRequestHandler):
    """Let the browser ask again for every file, and keep none: the site may have been built anew."""

    def translate_path(self, path: str) -> str:
        """In the place of the service worker stands one that deletes what an earlier one may have kept here."""
        return str(RETIRED_CODE) if path == f"/{WORKER}" else super().translate_path(path)

    def end_headers(self) -> None:
        """Add the header that says so."""
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()


def build() -> bool:
    """Build in a fresh interpreter, which sees the sources as they are now."""
    done = subprocess.run([sys.executable, "-m", "site_demo.build"], cwd=ROOT, check=False)
    return done.returncode == 0


def newest_change() -> float:
    """When a source was last changed."""
    files = [ROOT / "mkdocs.yml"]
    for folder in ("calc", "docs", "site_demo"):
        files += files_under(ROOT / folder)
    sources = (file for file in files if "generated" not in file.parts)
    return max(file.stat().st_mtime for file in sources)


def keep_building(built: float) -> None:
    """Look for changes for ever. A failed build has said why; the last good site stays."""
    while True:
        time.sleep(SECONDS_BETWEEN_LOOKS)
        try:
            newest = newest_change()
        except FileNotFoundError:  # an editor is just replacing a file
            continue
        if newest > built:
            built = newest
            print("serve: building again", flush=True)
            build()


def main() -> int:
    """Build, then serve until interrupted."""
    changed = newest_change()
    if not build():
        return 1
    threading.Thread(target=keep_building, args=(changed,), daemon=True).start()
    handler = partial(Handler, directory=str(ROOT / "site"))
    try:
        server = ThreadingHTTPServer((ADDRESS, PORT), handler)
    except OSError as trouble:
        print(f"serve: port {PORT} of {ADDRESS} cannot be used: {trouble.strerror}.", file=sys.stderr)
        print("End the program that uses it, then try again.", file=sys.stderr)
        return 1
    print(f"serve: http://{ADDRESS}:{PORT}/ (end with Ctrl-C)", flush=True)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        print()
    return 0


if __name__ == "__main__":
    sys.exit(main())
