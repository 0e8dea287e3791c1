"""Check that an installed haulwright serves its app: the first page, and every file that page names."""

import re
import subprocess
import sys


def get(command: str, path: str) -> bytes:
    """Return what the server answers to a path, without a socket."""
    return subprocess.run([command, "serve", "--get", path], capture_output=True, check=True).stdout


def main(command: str) -> int:
    """Ask for the page and its files; return the exit code."""
    page = get(command, "/").decode("utf-8")
    named = re.findall(r'(?:src|href)="(/[^"]+\.(?:js|css))"', page)
    if '<div id="app">' not in page or not any(path.endswith(".js") for path in named):
        print(f"the first page is not the app:\n{page[:400]}", file=sys.stderr)
        return 1
    sizes = {path: len(get(command, path)) for path in named}
    if not all(size > 500 for size in sizes.values()):
        print(f"a file the first page names is empty: {sizes}", file=sys.stderr)
        return 1
    print(f"wheel: serves the app, {len(page)} bytes of page, {sizes}")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
