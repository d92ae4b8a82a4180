"""A real server on this machine for the tests of the pages."""

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import uvicorn

from shroudwright.doors.web.app import create_app
from shroudwright.shop.store import Shop


@contextmanager
def served(folder: Path, code: str | None = None) -> Iterator[str]:
    """Serve a shop of its own; yields where."""
    with Shop.open(folder / "shop.db") as shop, socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create_app(shop, code=code), log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        server.should_exit = True
        thread.join()
