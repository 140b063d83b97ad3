"""The server as a running thing: one socket, one loop, an end that leaves nothing behind."""

import asyncio
import contextlib
import gc
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from types import FrameType

import uvicorn

from generator.errors import MachineError
from generator.files.resources import why
from generator.stand.guard import Guard
from generator.stand.server import StandApplication

LOOPBACK = "127.0.0.1"
_SIGNALS = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
_NOWHERE = ("192.0.2.1", 9)  # an address of RFC 5737, which is nobody's
_LET_GO = 1  # seconds that open connections get at the end
_AT_MOST = 10  # seconds that are waited for what was begun beside them


def bound(address: str, port: int) -> socket.socket:
    """A socket that listens on one address.

    Args:
        address: of this computer.
        port: number, or 0 for any that is free.

    Raises:
        MachineError: the port is in use, or may not be used.
    """
    found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):
            found.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        found.bind((address, port))
        found.listen(64)
    except OSError as problem:
        found.close()
        raise MachineError(
            f"port {port} of {address} cannot be used ({why(problem)}); is the stand page open already? "
            "--port names another"
        ) from problem
    return found


def own_address() -> str:
    """The address under which other devices of the network find this computer; nothing is sent to learn it.

    Raises:
        MachineError: there is no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(_NOWHERE)
            found = str(asked.getsockname()[0])
        except OSError:
            found = ""
    if not found or found.startswith("127.") or found == "0.0.0.0":  # noqa: S104  # compared, not bound
        raise MachineError("this computer is in no network, so no other device can come; leave out --lan")
    return found


def hosts_of(address: str, port: int) -> frozenset[str]:
    """What the Host header of a request to us may be."""
    names = {address, "localhost"} if address == LOOPBACK else {address}
    found = {f"{name}:{port}" for name in names}
    return frozenset(found | (names if port == 80 else set()))


class _Server(uvicorn.Server):
    """The server without signal handlers of its own: `until_stopped` has them."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


def serve(
    page: StandApplication, listening: socket.socket, code: str = "", ready: Callable[[], None] = lambda: None
) -> None:
    """Answer until a signal says to end; then let everything go.

    Args:
        page: what is served.
        listening: see `bound`; closed at the end.
        code: what devices have to know, or "".
        ready: called when the page can be opened.
    """
    address, port = listening.getsockname()[:2]
    guarded = Guard(page.application(), hosts_of(address, port), code)
    config = uvicorn.Config(
        guarded, log_config=None, access_log=False, lifespan="off", ws="none", http="h11", loop="asyncio",
        server_header=False, timeout_graceful_shutdown=_LET_GO, limit_concurrency=200, backlog=64,
    )  # fmt: skip
    server = _Server(config)
    # A command makes records and no garbage; a server makes both for hours.
    gc.enable()
    gc.freeze()
    with listening, _until_stopped(server, page):
        preparing = threading.Thread(target=page.prepare, daemon=True)
        preparing.start()
        ready()
        asyncio.run(server.serve(sockets=[listening]))
        # It looks at the day in a folder of its own, which is taken away when it has looked.
        preparing.join(_AT_MOST)


@contextlib.contextmanager
def _until_stopped(server: uvicorn.Server, page: StandApplication) -> Iterator[None]:
    """Inside, a signal asks the server to end, a second one at once. Nothing is raised into what it is doing."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        server.force_exit = server.should_exit
        server.should_exit = True
        page.events.close()

    before = {}
    for name in _SIGNALS:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) != signal.SIG_IGN:
            before[number] = signal.signal(number, stop)
    try:
        yield
    finally:
        page.close()
        page.desk.press.close()
        for number, handler in before.items():
            signal.signal(number, handler)
