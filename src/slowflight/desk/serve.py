"""Start the desk: one process, this machine only, an address with a secret of its own."""

from __future__ import annotations

import secrets
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from slowflight.errors import InputError, SlowflightError

LOOPBACK = "127.0.0.1"


def serve(
    folder: str | Path,
    *,
    port: int = 0,
    browser: bool = True,
    on_open: Callable[[str], None] = lambda _: None,
) -> None:
    """Serve a project folder until Ctrl-C.

    Parameters
    ----------
    folder : str or Path
        A project folder, or an empty or new one to begin in.
    port : int, optional
        0 takes a free one.
    browser : bool, optional
        Open the page.
    on_open : callable, optional
        Called with the address, secret and all, once the port is the desk's.

    Raises
    ------
    InputError
        Where the folder is a file or the port is taken.
    SlowflightError
        Where the desk's own libraries are not installed.
    """
    place = Path(folder)
    if place.exists() and not place.is_dir():
        raise InputError(where=str(place), found="a file", needed="a folder, or a name not yet taken")
    try:
        import uvicorn

        from slowflight.desk.application import desk_application
    except ModuleNotFoundError as missing:
        raise SlowflightError(
            f"desk: the library {missing.name!r} is not installed; install slowflight with its extra:"
            " pip install 'slowflight[web,report]'"
        ) from None
    place.mkdir(parents=True, exist_ok=True)
    listener = _listen(port)
    taken = int(listener.getsockname()[1])
    token = secrets.token_urlsafe(24)
    app = desk_application(place.resolve(), token=token, port=taken)
    address = f"http://{LOOPBACK}:{taken}/?token={token}"
    on_open(address)
    if browser:
        threading.Timer(0.3, webbrowser.open, [address]).start()
    server = uvicorn.Server(
        uvicorn.Config(
            app, log_level="warning", access_log=False, server_header=False, timeout_graceful_shutdown=1
        )
    )
    # Ctrl-C is how one closes it.
    with suppress(KeyboardInterrupt):
        server.run(sockets=[listener])


def _listen(port: int) -> socket.socket:
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    if sys.platform != "win32":
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
    except (OSError, OverflowError):
        listener.close()
        raise InputError(
            where="--port", found=str(port), needed="a free port from 1024 to 65535", fix="leave it out"
        ) from None
    return listener
