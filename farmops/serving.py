"""Serves the pages from one process: tables and static files made ready, then Hypercorn until told to stop."""

import asyncio
import contextlib
import errno
import signal
import socket
import sys
from concurrent.futures import ThreadPoolExecutor

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.utils.translation import gettext as _
from hypercorn.asyncio import serve as hypercorn_serve
from hypercorn.config import Config
from hypercorn.middleware import AsyncioWSGIMiddleware

# This computer alone, unless phones are wanted: then every address, and each page asks who is there.
HOST, EVERYWHERE = "127.0.0.1", "0.0.0.0"  # noqa: S104 - only for `start --phones`, which wants an account first
# Nothing is sent there: they only make the system say which of its own addresses it would use.
_PRIVATE_NETWORKS = ("192.168.255.254", "10.255.255.254", "172.31.255.254", "192.0.2.1")
FIRST_PORT = 8000
PORTS_TRIED = 20
# Bounded, since each thread keeps its own connection to the database.
THREADS = 12
# Above what a page may take in, so that a page can answer in words; see DATA_UPLOAD_MAX_MEMORY_SIZE.
LARGEST_REQUEST = 64 * 2**20
HASHED_FILES = "whitenoise.storage.CompressedManifestStaticFilesStorage"


class PortTaken(Exception):
    """No port to listen on; the words name the remedy."""


class NotDurable(Exception):
    """The database cannot keep its promise that what was acknowledged is on disk."""


def own_addresses() -> list[str]:
    """Addresses under which other devices of the network may reach this computer, the likeliest first."""
    found: list[str] = []
    for network in _PRIVATE_NETWORKS:
        with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
            asking.connect((network, 9))
            found.append(asking.getsockname()[0])
    with contextlib.suppress(OSError):
        found += socket.gethostbyname_ex(socket.gethostname())[2]
    usable = [address for address in found if not address.startswith(("127.", "0."))]
    return list(dict.fromkeys(usable))


def open_port(wanted: int | None, *, first: int = FIRST_PORT, host: str = HOST) -> socket.socket:
    """A listening socket on `wanted`, or on the first free port from `first` on. Raises PortTaken."""
    for port in [wanted] if wanted is not None else range(first, first + PORTS_TRIED):
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        if sys.platform == "win32":
            # Elsewhere two programs cannot listen on one port; on Windows only when asked so.
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
        else:
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            listening.bind((host, port))
            listening.listen(100)
        except OSError as error:
            listening.close()
            if error.errno not in {errno.EADDRINUSE, errno.EACCES}:
                raise
        else:
            return listening
    if wanted is not None:
        raise PortTaken(
            _("Port %(port)d is taken or not allowed. Choose another with --port, or leave --port out.")
            % {"port": wanted}
        )
    raise PortTaken(
        _("Ports %(first)d to %(last)d are all taken. Choose another with --port.")
        % {"first": first, "last": first + PORTS_TRIED - 1}
    )


def make_ready() -> None:
    """Bring the tables up to date and collect the static files. Raises NotDurable, or Django's DatabaseError."""
    if connection.vendor == "postgresql":
        # Asked once without the pool: that one tries for half a minute, and then does not say why.
        import psycopg

        asked = {name: value for name, value in connection.get_connection_params().items() if name != "pool"}
        with connection.wrap_database_errors:
            psycopg.connect(**asked).close()
    # The first connection switches SQLite to write-ahead logging. That must happen before anybody else is connected.
    call_command("migrate", interactive=False, verbosity=0)
    call_command("clearsessions", verbosity=0)
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            mode = cursor.execute("PRAGMA journal_mode").fetchone()[0]
        if mode != "wal":
            raise NotDurable(
                _("The folder of the records cannot be used safely (journal mode %(mode)s instead of wal). ")
                % {"mode": mode}
                + _("Is it on a network share? Name a folder on this computer in FARMOPS_DATA.")
            )
    connection.close()
    # Hashed names let a browser keep a file for ever; only a server needs them, tests and papers use plain names.
    settings.STORAGES = {**settings.STORAGES, "staticfiles": {"BACKEND": HASHED_FILES}}
    call_command("collectstatic", interactive=False, verbosity=0)


def serve(listening: socket.socket) -> None:
    """Answer requests until SIGINT or SIGTERM; requests in flight are finished first."""
    from farmops.wsgi import application

    asyncio.run(_serve(listening, AsyncioWSGIMiddleware(application, max_body_size=LARGEST_REQUEST)))


async def _serve(listening: socket.socket, application: AsyncioWSGIMiddleware) -> None:
    loop = asyncio.get_running_loop()
    loop.set_default_executor(ThreadPoolExecutor(THREADS, thread_name_prefix="page"))
    stop = asyncio.Event()
    for name in ("SIGINT", "SIGTERM", "SIGBREAK"):
        if number := getattr(signal, name, None):
            _on_signal(loop, number, stop)
    config = Config()
    config.bind = [f"fd://{listening.detach()}"]
    config.read_timeout = 60
    config.keep_alive_timeout = 30
    config.graceful_timeout = 8
    config.include_server_header = False
    config.loglevel = "WARNING"
    await hypercorn_serve(application, config, shutdown_trigger=stop.wait)


def _on_signal(loop: asyncio.AbstractEventLoop, number: signal.Signals, stop: asyncio.Event) -> None:
    try:
        loop.add_signal_handler(number, stop.set)
    except NotImplementedError:  # Windows
        signal.signal(number, lambda *_unused: loop.call_soon_threadsafe(stop.set))
