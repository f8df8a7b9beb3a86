"""The server keeps to its own description: thousands of made-up requests, no fault of the program.

Schemathesis (an open-source tester of OpenAPI services) reads the description the server gives
and sends what fits it and what does not; the answers must fit it too.
"""

import os
import random
import subprocess
import sys
from pathlib import Path

import pytest
import requests


@pytest.fixture(scope="module")
def server(tmp_path_factory):
    """A server on a free port with an empty studio; gives its address."""
    program = os.environ.get("WATERKEY_BIN")
    if not program:
        pytest.exit("WATERKEY_BIN names no program: run `cargo xtask test --only checks`", returncode=2)
    data = tmp_path_factory.mktemp("studio")
    process = subprocess.Popen(
        [program, "serve", "--port", "0", "--data", str(data), "--print-address"],
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        address = process.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:"), address
        yield address.rstrip("/")
    finally:
        process.terminate()
        assert process.wait(timeout=20) == 0


class Client(requests.Session):
    """Asks the server by its ways alone."""

    def __init__(self, address):
        super().__init__()
        self.address = address

    def request(self, method, way, **more):
        return super().request(method, self.address + way, timeout=60, **more)


def session(address):
    """A client that has the cookie and sends the token."""
    client = Client(address)
    client.headers["x-waterkey-token"] = client.get("/api/session").json()["token"]
    return client


def test_the_description_is_openapi_3_1(server):
    description = session(server).get("/api/openapi.json").json()
    assert description["openapi"].startswith("3.1")
    assert len(description["paths"]) > 20


def test_made_up_requests_find_no_fault(server, tmp_path):
    client = session(server)
    cookies = "; ".join(f"{name}={value}" for name, value in client.cookies.items())
    done = subprocess.run(
        [
            Path(sys.executable).with_name("schemathesis"), "run", f"{server}/api/openapi.json",
            "-H", f"x-waterkey-token: {client.headers['x-waterkey-token']}",
            "-H", f"Cookie: {cookies}",
            "--checks", "not_a_server_error,response_schema_conformance,content_type_conformance",
            # Signing in is tried apart; archives are ZIP, which no generator of JSON makes.
            "--exclude-path", "/api/session", "--exclude-path", "/api/import",
            "--max-examples", "25", "--seed", "7", "--generation-database", "none", "--no-color",
        ],
        capture_output=True, text=True, cwd=tmp_path, timeout=900,
    )
    assert done.returncode == 0, done.stdout[-8000:] + done.stderr[-2000:]
    assert client.get("/api/health").json()["status"] == "ok"


def test_archives_that_are_none_are_refused(server):
    client = session(server)
    whole = client.get("/api/export").content
    assert client.post("/api/import", data=whole, headers={"content-type": "application/zip"}).status_code == 200
    made = random.Random(7)
    for cut in [b"", b"PK", whole[:40], whole[: len(whole) // 2], b"\0" * 1000]:
        assert client.post("/api/import", data=cut).status_code in (400, 422)
    for _ in range(60):
        bytes_ = bytearray(whole)
        for _ in range(made.randint(1, 8)):
            bytes_[made.randrange(len(bytes_))] = made.randrange(256)
        assert client.post("/api/import", data=bytes(bytes_)).status_code in (200, 400, 409, 422)
    assert client.get("/api/health").json()["status"] == "ok"


def test_changes_need_the_token_and_other_sites_are_refused(server):
    bare = Client(server)
    player = {"name": "Ada", "instrument": "trumpet-bflat"}
    refused = bare.post("/api/players", json=player)
    assert (refused.status_code, refused.json()["code"]) == (403, "csrf-token")
    client = session(server)
    for headers in ({"origin": "http://evil.example"}, {"sec-fetch-site": "cross-site"}):
        refused = client.post("/api/players", json=player, headers=headers)
        assert (refused.status_code, refused.json()["code"]) == (403, "forbidden-origin")
    rebound = client.get("/api/players", headers={"host": "evil.example"})
    assert (rebound.status_code, rebound.json()["code"]) == (421, "forbidden-host")
    made = client.post("/api/players", json=player)
    assert made.status_code == 201
    assert client.delete(f"/api/players/{made.json()['id']}").status_code == 204
    assert client.post(f"/api/players/{made.json()['id']}/restore").json() == made.json()


def test_every_answer_carries_the_safety_headers(server):
    client = session(server)
    for path in ("/", "/api/health", "/nothing/here", "/api/nothing", "/%2e%2e/%2e%2e/etc/passwd"):
        answer = client.get(path)
        assert "default-src 'none'" in answer.headers["content-security-policy"], path
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert "root:" not in answer.text
