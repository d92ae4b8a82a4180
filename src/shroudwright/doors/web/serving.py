"""Run the pages.

run    until it is stopped
"""

import secrets
import socket

import uvicorn

from shroudwright.bench.errors import InputError
from shroudwright.doors.web.app import LOOPBACK, create_app
from shroudwright.shop.store import Shop

_CODE_LETTERS, _CODE_LONG = "0123456789", 8


def run(port: int, where: str | None, *, is_for_tablets: bool) -> None:
    """Serve the pages until stopped.

    Parameters
    ----------
    port : int
        Where they are found.
    where : str or None
        The shop's file or database; None takes the user's own.
    is_for_tablets : bool
        Whether other machines on the shop's network may ask, once they typed a code.

    Raises
    ------
    InputError
        If the port is taken.
    """
    address = "0.0.0.0" if is_for_tablets else "127.0.0.1"
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address, port))
        except OSError:
            raise InputError([f"port {port} is taken; choose another with --port"]) from None
    hosts, code = set(LOOPBACK), None
    if is_for_tablets:
        code = "".join(secrets.choice(_CODE_LETTERS) for _ in range(_CODE_LONG))
        own = _own_address()
        hosts.add(own)
        print(f"on a tablet open http://{own}:{port}/pair and type {code}")
        print("plain http: whoever listens in on this network can read along; use it in a shop you trust")
    print(f"open http://127.0.0.1:{port}/   (stop with Ctrl+C)")
    with Shop.open(where) as shop:
        uvicorn.run(create_app(shop, hosts=hosts, code=code), host=address, port=port, log_level="warning")


def _own_address() -> str:
    """Return this computer's address on the network it would send by; nothing is sent."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as looking:
        try:
            looking.connect(("192.0.2.1", 9))
        except OSError:
            return "127.0.0.1"
        return str(looking.getsockname()[0])
