"""Photographs of a piece's marking: what counts as one, and where it lies beside its kit.

Only the head of a file is looked at, never the picture: it is kept byte for byte and shown by the browser alone.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from haulwright.errors import FileRefusal

MOST_BYTES = 8_000_000
MOST_OF_ONE = 24
ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
_PLAIN = re.compile(r"[^a-z0-9]+")


def media_of(content: bytes) -> str:
    """Return the media type a picture's own head tells; empty where it is no JPEG, PNG or WebP.

    Examples
    --------
    >>> media_of(b"RIFF\\x00\\x00\\x00\\x00WEBPVP8 "), media_of(b"<svg")
    ('image/webp', '')
    """
    if content[:3] == b"\xff\xd8\xff":
        return "image/jpeg"
    if content[:8] == b"\x89PNG\r\n\x1a\n":
        return "image/png"
    return "image/webp" if content[:4] == b"RIFF" and content[8:12] == b"WEBP" else ""


def check_photo(content: bytes, name: str) -> str:
    """Return the media type of a photograph.

    Raises
    ------
    FileRefusal
        PHOTO: no JPEG, PNG or WebP; TOO_LARGE.
    """
    media = media_of(content)
    if not media:
        text = f"{name}: no photograph: its first bytes are not those of a JPEG, PNG or WebP picture. Send one of these."
        raise FileRefusal("PHOTO", text, (name,))
    if len(content) > MOST_BYTES:
        text = f"{name}: {len(content) / 1e6:.1f} MB: a photograph may be {MOST_BYTES // 10**6} MB. Make it smaller."
        raise FileRefusal("TOO_LARGE", text, (name,))
    return media


def photo_path(kit_file: str, piece: str, content: bytes) -> str:
    r"""Return where a photograph goes: a folder beside the kit, named by the piece and by its own content.

    Examples
    --------
    >>> photo_path("club-kit.yaml", "S-07", b"\xff\xd8\xff")
    'club-kit.photos/s-07-6e568e1f67fb.jpg'
    """
    stem = _PLAIN.sub("-", piece.lower()).strip("-")[:40] or "piece"
    name = f"{stem}-{hashlib.sha256(content).hexdigest()[:12]}.{ENDINGS[media_of(content)]}"
    return f"{Path(kit_file).stem}.photos/{name}"


def photo_media(folder: Path, path: str) -> str:
    """Return the media type of a photograph that a kit names; empty where there is no such file.

    Raises
    ------
    FileRefusal
        LINK: a path out of the kit's folder, or a link on the way; PHOTO; TOO_LARGE.
    """
    target = folder
    for part in path.split("/"):
        target /= part
        if part in ("", ".", "..") or Path(part).is_absolute() or "\\" in part or target.is_symlink():
            text = f"photo {path!r} leads out of the kit's folder, or through a link. Give a path from that folder."
            raise FileRefusal("LINK", text, (path,))
    try:
        if not target.is_file():
            return ""
        with target.open("rb") as file:
            return check_photo(file.read(MOST_BYTES + 1), path)
    except ValueError as err:
        if isinstance(err, FileRefusal):
            raise
        return ""  # a name no system takes
    except OSError as err:
        raise FileRefusal("NO_FILE", f"{path}: cannot be read ({err.strerror}).", (path,)) from None
