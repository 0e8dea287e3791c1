"""``python -m haulwright``: the same as the console script."""

from haulwright.interfaces.cli.main import run

if __name__ == "__main__":
    run()
