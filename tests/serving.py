"""A real server on this machine for the tests of the pages: in a thread, or as a process that can be killed."""

import socket
import subprocess
import sys
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
    with Shop.open(folder / "shop.db") as shop, socket.socket(proto=socket.IPPROTO_TCP) as listening:
        listening.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(create_app(shop, code=code), log_level="error"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]})
        thread.start()
        while not server.started:
            time.sleep(0.02)
        yield f"http://127.0.0.1:{listening.getsockname()[1]}"
        server.should_exit = True
        thread.join()


def free_port() -> int:
    """A port nobody listens at."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


@contextmanager
def a_process(port: int, kept: Path) -> Iterator[subprocess.Popen[bytes]]:
    """The server as a shop starts it, in a process of its own that a kill ends."""
    command = [sys.executable, "-m", "shroudwright.doors.cli", "serve", "--port", str(port), "--shop", str(kept)]
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        while process.poll() is None:
            with socket.socket() as knocking:
                if knocking.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.05)
        yield process
    finally:
        process.kill()
        process.wait()
