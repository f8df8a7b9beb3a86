"""What every check shares: where the built program is, and how to call it."""

import json
import os
import subprocess

import pytest


@pytest.fixture(scope="session")
def waterkey():
    """A function that runs the program and gives its standard output as text, or as JSON."""
    program = os.environ.get("WATERKEY_BIN")
    if not program:
        pytest.exit("WATERKEY_BIN names no program: run `cargo xtask test --only checks`", returncode=2)

    def call(*args, as_json=False):
        done = subprocess.run([program, *map(str, args)], capture_output=True, text=True, timeout=600)
        assert done.returncode == 0, f"waterkey {' '.join(map(str, args))}: {done.stderr.strip()}"
        return json.loads(done.stdout) if as_json else done.stdout

    return call


@pytest.fixture(scope="session")
def library(waterkey, tmp_path_factory):
    """The whole library for every instrument, by (exercise, instrument): MusicXML and the part as
    JSON. One call of the program for each instrument."""
    folder = tmp_path_factory.mktemp("library")
    found = {}
    for instrument in waterkey("list", "instruments", "--json", as_json=True):
        there = folder / instrument["id"]
        rows = waterkey(
            "export", there, "--instrument", instrument["id"],
            "--as", "musicxml", "--as", "json", "--json", as_json=True,
        )
        for row in rows:
            found[row["piece"], instrument["id"]] = row
    return found
