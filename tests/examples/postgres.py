"""A PostGIS server of a test's own: on 127.0.0.1, in a folder of its own, gone when it is done."""

from __future__ import annotations

import contextlib
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

ADMIN, PASSWORD = "warden", "s3cret/of@the?test"
QUICK = {"fsync": "off", "synchronous_commit": "off", "full_page_writes": "off"}
WAIT_S = 30
DEBIAN = "/usr/lib/postgresql/*/bin/postgres"


def programs() -> Path:
    """Return the folder of PostgreSQL's programs; who asked for this stage wants it run."""
    found = sorted(Path("/").glob(DEBIAN.lstrip("/")), key=lambda path: int(path.parts[4]))
    if not found:
        pytest.fail("PostgreSQL is not installed: bash .ci/database")
    shared = subprocess.run(
        [found[-1].with_name("pg_config"), "--sharedir"], capture_output=True, text=True, check=True
    ).stdout.strip()
    if not Path(shared, "extension", "postgis.control").is_file():
        pytest.fail("PostGIS is not installed: bash .ci/database")
    return found[-1].parent


def _as_nobody_special() -> tuple[list[str], pwd.struct_passwd | None]:
    """Return what to put before a command: the server refuses to be root's."""
    if os.geteuid():
        return [], None
    user = pwd.getpwnam("postgres")
    return ["setpriv", f"--reuid={user.pw_uid}", f"--regid={user.pw_gid}", "--clear-groups"], user


@contextlib.contextmanager
def server() -> Iterator[str]:
    """Run a server; its host and port are handed over."""
    there = programs()
    before, user = _as_nobody_special()
    folder = Path(tempfile.mkdtemp(prefix="lawnmap-postgres-"))
    try:
        secret = folder / "secret"
        secret.write_text(PASSWORD, encoding="utf-8")
        for path in (folder, secret) if user else ():
            os.chown(path, user.pw_uid, user.pw_gid)
        first = [there / "initdb", "-D", folder / "data", "-U", ADMIN, "--pwfile", secret]
        subprocess.run(
            [*before, *first, "-A", "scram-sha-256", "-E", "UTF8", "--locale", "C", "--no-sync"],
            check=True, capture_output=True, cwd=folder,
        )  # fmt: skip
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        settings = {
            **QUICK, "listen_addresses": "127.0.0.1", "port": port, "unix_socket_directories": "",
        }  # fmt: skip
        words = [word for key, value in settings.items() for word in ("-c", f"{key}={value}")]
        with subprocess.Popen(
            [*before, there / "postgres", "-D", folder / "data", *words],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, cwd=folder,
        ) as process:  # fmt: skip
            try:
                _wait(port, process)
                yield f"127.0.0.1:{port}"
            finally:
                process.send_signal(signal.SIGINT)  # a fast end: nobody is waited for
                process.wait(timeout=WAIT_S)
    finally:
        shutil.rmtree(folder)


def _wait(port: int, process: subprocess.Popen[bytes]) -> None:
    import psycopg

    for _ in range(WAIT_S * 20):
        assert process.poll() is None, "the server ended by itself"
        with contextlib.suppress(psycopg.OperationalError):
            psycopg.connect(
                host="127.0.0.1", port=port, user=ADMIN, password=PASSWORD, dbname="postgres"
            ).close()
            return
        time.sleep(0.05)
    raise TimeoutError
