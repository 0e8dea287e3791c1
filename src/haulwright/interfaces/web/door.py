"""Who may come in from the local network: a code that works once, exchanged for a session."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field

from haulwright.errors import UsageRefusal

COOKIE = "haulwright_session"
ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"  # no 0 and O, no 1 and I: it may have to be typed
GROUPS, GROUP = 4, 4
SESSION_s = 12 * 3600.0
MOST_SESSIONS = 16
WINDOW_s = 60.0
MOST_TRIES, MOST_TRIES_OF_ALL = 5, 20


def new_code() -> str:
    """Return a code of 80 bits, as it is shown and typed."""
    return "-".join("".join(secrets.choice(ALPHABET) for _ in range(GROUP)) for _ in range(GROUPS))


@dataclass
class Door:
    """The one code that is good now, and the sessions it and its forerunners were exchanged for.

    Attributes
    ----------
    tell : callable
        Shows a new code to the user at the terminal.
    clock : callable
        Seconds that never go back.
    """

    tell: Callable[[str], None]
    clock: Callable[[], float] = time.monotonic
    code: str = field(default_factory=new_code)
    _sessions: dict[str, float] = field(default_factory=dict)
    _tries: deque[tuple[float, str]] = field(default_factory=deque)

    def enter(self, given: str, address: str) -> str:
        """Return a new session for the code; the code is used up and another is told.

        Parameters
        ----------
        given : str
            As typed or scanned; small letters and missing strokes do.
        address : str
            Where it comes from.

        Raises
        ------
        UsageRefusal
            TOO_MANY wrong codes of late, from there or from all; TOKEN: not the code, or used before.
        """
        now = self.clock()
        while self._tries and self._tries[0][0] < now - WINDOW_s:
            self._tries.popleft()
        own = sum(1 for _, where in self._tries if where == address)
        if own >= MOST_TRIES or len(self._tries) >= MOST_TRIES_OF_ALL:
            raise UsageRefusal(
                "TOO_MANY", "Too many wrong codes. Wait a minute, then take the code shown last."
            )
        if not hmac.compare_digest(_bare(given).encode(), _bare(self.code).encode()):
            self._tries.append((now, address))
            raise UsageRefusal(
                "TOKEN",
                "Not the code, or it was used before: each works once. Take the one shown last in the terminal.",
            )
        self.code = new_code()
        self.tell(self.code)
        return self._new_session(now)

    def _new_session(self, now: float) -> str:
        session = secrets.token_urlsafe(32)
        live = sorted((end, one) for one, end in self._sessions.items() if end > now)
        self._sessions = {one: end for end, one in live[-(MOST_SESSIONS - 1) :]}
        self._sessions[digest(session)] = now + SESSION_s
        return session

    def knows(self, session: str | None) -> bool:
        """Return whether a session is one of ours and still good."""
        return session is not None and self._sessions.get(digest(session), 0.0) > self.clock()


def _bare(code: str) -> str:
    """Return a code without what a hand may leave out or add."""
    return "".join(one for one in code.upper()[:64] if one in ALPHABET)


def digest(session: str) -> str:
    """Return what is kept of a session, from which it cannot be told."""
    return hashlib.sha256(session.encode("utf-8", "replace")).hexdigest()
