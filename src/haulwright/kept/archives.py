"""Archives of files: looked at before a byte is written, packed so that the same content is the same bytes."""

from __future__ import annotations

import shutil
import stat
import zipfile
import zlib
from pathlib import Path, PurePosixPath

from haulwright.book.names import check_path, file_name
from haulwright.errors import BookRefusal, FileRefusal
from haulwright.files.kept_bytes import MOST_BYTES, MOST_FILES

MOST_OUT = 1_000_000_000
_THEN = (1980, 1, 1, 0, 0, 0)  # no time of day in an archive
_CHUNK = 1 << 20
_SYSTEMS = (".DS_Store", "Thumbs.db", "desktop.ini")  # what a system puts beside the user's own files


def unpacked(folder: Path) -> tuple[Path, list[str]]:
    """Return the folder, or where its one archive was unpacked; and what of that is a system's own and was left in it.

    Raises
    ------
    Refusal
        ARCHIVE, NAME, LINK, TOO_LARGE.
    """
    files = [one for one in folder.rglob("*") if one.is_file()]
    if len(files) != 1 or files[0].suffix.lower() != ".zip":
        return folder, []
    out = folder / f".{files[0].stem}.unpacked"
    left_out = unpack(files[0], out / file_name(files[0].stem))
    files[0].unlink()
    return out, left_out


def unpack(file: Path, out: Path) -> list[str]:
    """Unpack an archive into a folder that is not there yet; return what is a system's own and was left in it.

    Raises
    ------
    Refusal
        ARCHIVE, NAME, LINK, TOO_LARGE, NO_FILE.
    """
    try:
        with zipfile.ZipFile(file) as archive:
            return _unpack(archive, out)
    except (
        zipfile.BadZipFile,
        zlib.error,
        NotImplementedError,
        RuntimeError,
        EOFError,
        ValueError,
    ) as err:
        if isinstance(err, FileRefusal | BookRefusal):
            raise
        text = f"{file.name}: no archive that can be read ({err}). Send the files themselves."
        raise FileRefusal("ARCHIVE", text, (file.name,)) from None
    except OSError as err:
        text = f"{file.name[:80]}: cannot be unpacked ({err.strerror or err})."
        raise FileRefusal("NO_FILE", text, (file.name[:80],)) from None


def _is_systems(name: str) -> bool:
    return name.startswith("__MACOSX/") or name.rpartition("/")[2] in _SYSTEMS


def _unpack(archive: zipfile.ZipFile, out: Path) -> list[str]:
    """Write the files of an archive below a folder; names, sizes and number are looked at before a byte is written."""
    infos = [one for one in archive.infolist() if not _is_systems(one.filename)]
    every = [one for one in infos if not one.filename.endswith("/")]
    if len(every) > MOST_FILES or sum(one.file_size for one in every) > MOST_OUT:
        text = f"Over {MOST_FILES} files or {MOST_OUT // 10**9} GB: unpack it and give the folder, on the command line."
        raise FileRefusal("TOO_LARGE", text, ("archive",))
    names = [check_path(one.filename) for one in every]
    folded = [name.casefold() for name in names]
    if len(set(folded)) < len(folded):
        twice = next(name for name in names if folded.count(name.casefold()) > 1)
        raise FileRefusal("NAME", f"{twice!r} stands twice in the archive.", (twice,))
    out.mkdir(parents=True)
    for one, name in zip(every, names, strict=True):
        if stat.S_ISLNK(one.external_attr >> 16):
            raise FileRefusal(
                "LINK", f"{name}: a link in the archive. Put the file itself in its place.", (name,)
            )
        _unpack_one(archive, one, out / name)
    for one in infos:
        if one.filename.endswith("/"):
            (out / check_path(one.filename.rstrip("/"))).mkdir(parents=True, exist_ok=True)
    return [one.filename for one in archive.infolist() if _is_systems(one.filename)]


def _unpack_one(archive: zipfile.ZipFile, one: zipfile.ZipInfo, target: Path) -> None:
    left = min(one.file_size, MOST_BYTES)  # what the archive says, and not a byte more
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with archive.open(one) as given, target.open("xb") as out:
            while chunk := given.read(_CHUNK):
                left -= len(chunk)
                if left < 0:
                    raise FileRefusal(
                        "TOO_LARGE", f"{one.filename}: too large for a file of a book.", (one.filename,)
                    )
                out.write(chunk)
    except (FileExistsError, NotADirectoryError, IsADirectoryError):
        text = f"{one.filename!r} is a file and a folder at once."
        raise FileRefusal("NAME", text, (one.filename,)) from None


def pack(folder: Path, target: Path, below: str) -> None:
    """Pack every file below a folder, and the empty folders."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(folder.rglob("*")):
            name = str(PurePosixPath(below, path.relative_to(folder).as_posix()))
            if path.is_dir():
                if not any(path.iterdir()):
                    archive.writestr(zipfile.ZipInfo(f"{name}/", _THEN), b"")
                continue
            info = zipfile.ZipInfo(name, _THEN)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.external_attr = 0o644 << 16
            with path.open("rb") as given, archive.open(info, "w", force_zip64=True) as part:
                shutil.copyfileobj(given, part, _CHUNK)
