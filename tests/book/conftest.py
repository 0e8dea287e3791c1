"""Books to test with: every test that takes ``place`` runs on an SQLite file and on a PostgreSQL server.

The server is one of the machine's own binaries, started for this run in a folder of its own and stopped after it; no
address is opened but a socket in that folder. HAULWRIGHT_POSTGRES=required turns leaving out into failing.
"""

import os
import shutil
import subprocess
import tempfile
import uuid
from pathlib import Path

import pytest

import haulwright as hw
from haulwright.book.place import VARIABLE

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
MEADOW = "meadow (invented)"


def binaries():
    """The folder of the server's programs: on the path, or where Debian puts them."""
    found = shutil.which("initdb")
    inside = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return Path(found).parent if found else inside[-1].parent if inside else None


class Server:
    """A PostgreSQL server of this run."""

    def __init__(self, programs, folder):
        import pwd  # there is none on Windows, where no server is looked for

        self.programs, self.folder = programs, folder
        self.user = "postgres" if os.geteuid() == 0 else None  # it refuses to run as root
        if self.user:
            os.chown(folder, pwd.getpwnam(self.user).pw_uid, -1)
        self.run("initdb", "-D", folder / "data", "-U", "club", "-A", "trust", "-E", "UTF8", "--locale=C")

    def run(self, program, *words):
        done = subprocess.run(
            [self.programs / program, *words],
            user=self.user,
            cwd=self.folder,
            stdout=subprocess.DEVNULL,  # a server keeps a pipe open for as long as it runs
            stderr=subprocess.PIPE if program == "initdb" else subprocess.DEVNULL,
            check=False,
        )
        assert done.returncode == 0, f"{program}: {(done.stderr or b'').decode()}"

    def start(self):
        options = f"-k {self.folder} -c listen_addresses="
        self.run(
            "pg_ctl", "-D", self.folder / "data", "-l", self.folder / "log", "-o", options, "-w", "start"
        )

    def stop(self, how):
        self.run("pg_ctl", "-D", self.folder / "data", "-m", how, "-w", "stop")

    def database(self):
        import psycopg

        name = f"book_{uuid.uuid4().hex[:12]}"
        with psycopg.connect(f"host={self.folder} user=club dbname=postgres", autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name} TEMPLATE template0")
        return f"postgresql://club@/{name}?host={self.folder}"


@pytest.fixture(scope="session")
def server():
    programs = binaries()
    if programs is None:
        words = "no PostgreSQL on this machine: a book on a server is not tested"
        if os.environ.get("HAULWRIGHT_POSTGRES") == "required":
            pytest.fail(words)
        pytest.skip(words)
    memory = (
        "/dev/shm" if os.access("/dev/shm", os.W_OK) else None
    )  # a kill of a process loses nothing there either
    folder = Path(tempfile.mkdtemp(prefix="hw-pg-", dir=memory))
    running = Server(programs, folder)
    running.start()
    yield running
    running.stop("fast")
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(autouse=True)
def no_book_of_the_user(monkeypatch, tmp_path):
    """No test may find the user's own book."""
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data-home"))


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, tmp_path):
    """Where a book may be made: nothing is there yet."""
    if request.param == "sqlite":
        return str(tmp_path / "the book.sqlite")
    return request.getfixturevalue("server").database()


@pytest.fixture
def book(place):
    """An empty book."""
    hw.new_book(place)
    return place


@pytest.fixture
def campaign(tmp_path):
    """A copy of the shipped campaign that may be changed."""
    folder = tmp_path / "campaign"
    shutil.copytree(EXAMPLES / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    return folder


@pytest.fixture
def examples():
    return EXAMPLES


def tree(folder):
    """Every file below a folder with its bytes, every empty folder with None."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else None
        for path in sorted(Path(folder).rglob("*"))
        if path.is_file() or not any(path.iterdir())
    }


@pytest.fixture(name="tree")
def tree_fixture():
    return tree
