"""A process that does the work: jobs come in on stdin, steps and answers go out on stdout, until stdin ends."""

from __future__ import annotations

import os
import signal
import sys
from typing import BinaryIO

from haulwright.interfaces.web.work.job import HEAD, job_of, packed, packed_step


def serve(given: BinaryIO, out: BinaryIO) -> None:
    """Answer one job after the other."""
    from haulwright.interfaces.web.work.verbs import perform
    from haulwright.progress import share_of

    def tell(words: str) -> None:
        out.write(packed_step(words, share_of(words)))
        out.flush()

    while len(lengths := given.read(HEAD.size)) == HEAD.size:
        head, _ = HEAD.unpack(lengths)
        out.write(packed(perform(job_of(given.read(head)), tell)))
        out.flush()


def main() -> None:
    """Run as the server's child: what is printed by the way goes to stderr, and Ctrl-C is the parent's to hear."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    out = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    serve(sys.stdin.buffer, out)


if __name__ == "__main__":
    main()
