"""A real nginx with TLS in front of a shop, set up by the very lines of the README."""

from __future__ import annotations

import re
import shutil
import ssl
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from time import monotonic, sleep

import pytest
from running_shop import HERE, ROOT, free_port

NAME = "desk.example"
PORT = 8765
# What a whole configuration of nginx has around the README's part; nothing outside the folder.
AROUND = """
daemon off; worker_processes 1; pid {place}/pid; error_log {place}/log;
events {{ worker_connections 512; }}
http {{
  access_log off;
  client_body_temp_path {place}/body; proxy_temp_path {place}/proxy;
  fastcgi_temp_path {place}/f; uwsgi_temp_path {place}/u; scgi_temp_path {place}/s;
{server}
}}
"""


def readme_block(name: str) -> str:
    """The lines of the README that follow a mark."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    found = re.search(rf"<!-- {re.escape(name)} -->\s*```\w*\n(.*?)```", text, re.DOTALL)
    assert found is not None, name
    return found[1]


@contextmanager
def tls_proxy(place: Path, *shop_ports: int) -> Iterator[tuple[int, ssl.SSLContext]]:
    """Run it; give its port, and the trust in its certificate."""
    if not (shutil.which("nginx") and shutil.which("openssl")):
        pytest.skip("no nginx or no openssl here; .ci/run gets them")
    port, key, certificate = free_port(), place / "key.pem", place / "certificate.pem"
    subprocess.run(
        [
            "openssl",
            "req",
            "-x509",
            "-newkey",
            "ec",
            "-pkeyopt",
            "ec_paramgen_curve:prime256v1",
            "-nodes",
            "-days",
            "2",
            "-subj",
            f"/CN={NAME}",
            "-addext",
            f"subjectAltName=DNS:{NAME}",
            "-keyout",
            key,
            "-out",
            certificate,
        ],
        check=True,
        capture_output=True,
    )
    written = place / "nginx.conf"
    written.write_text(AROUND.format(place=place, server=_here(port, shop_ports, key, certificate)))
    process = subprocess.Popen(
        ["nginx", "-p", place, "-c", written, "-e", place / "log"], stderr=subprocess.DEVNULL
    )
    try:
        _wait_for(place / "pid")
        yield port, ssl.create_default_context(cafile=certificate)
    finally:
        process.terminate()
        process.wait(timeout=30)


def _here(port: int, shop_ports: tuple[int, ...], key: Path, certificate: Path) -> str:
    """The README's lines with this test's own ports and files in the places of a shop's."""
    lines = readme_block("tablets: nginx")
    theirs_and_ours = [("http://127.0.0.1:8765", f"http://{HERE}:{shop_ports[0]}")]
    if len(shop_ports) > 1:
        # As the README has it for many desks: both ports by one name.
        lines = readme_block("many: nginx") + lines
        theirs_and_ours = [("http://127.0.0.1:8765", "http://desks")]
        theirs_and_ours += [
            (f"127.0.0.1:{PORT + turn};", f"{HERE}:{ours};") for turn, ours in enumerate(shop_ports)
        ]
    for theirs, ours in (
        *theirs_and_ours,
        ("listen 443 ssl", f"listen {HERE}:{port} ssl"),
        ("/etc/ssl/desk.example.pem", str(certificate)),
        ("/etc/ssl/private/desk.example.key", str(key)),
    ):
        assert theirs in lines
        lines = lines.replace(theirs, ours)
    return lines


def _wait_for(path: Path) -> None:
    """Wait until a file is there: nginx writes it once it listens."""
    end = monotonic() + 20
    while not (path.exists() and path.read_text().strip()):
        assert monotonic() < end, "nginx did not start"
        sleep(0.02)
