"""What is uploaded: logs of one run, or the files of a campaign, kept in a folder that goes when it is answered."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import AsyncIterator, Iterator, Sequence
from contextlib import ExitStack, asynccontextmanager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Generic, TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request

from haulwright.errors import FileRefusal, UsageRefusal
from haulwright.interfaces.web.answers import PREFIX
from haulwright.interfaces.web.questions.body import Body
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.strict_json import read_json

A = TypeVar("A", bound=Body)
MOST_LOGS = 4
LONGEST_NAME = 120
DEEPEST_NAME = 4
CAMPAIGN = "campaign"
SENT = "sent"
_FORBIDDEN = set('<>:"|?*\\')


@dataclass(frozen=True)
class Upload(Generic[A]):
    """What was uploaded.

    Attributes
    ----------
    folder : str
        Holds the files.
    names : tuple of str
        Of the files, from the folder.
    asked : Body
        What goes with them.
    held : ExitStack
        Holds the folder; work that goes on after the answer takes it over.
    """

    folder: str
    names: tuple[str, ...]
    asked: A
    held: ExitStack


def safe_name(name: str, deepest: int = 1) -> str:
    """Return the name of a file as it was sent.

    Raises
    ------
    FileRefusal
        NAME: it leads somewhere else, or is none that every system takes.

    Examples
    --------
    >>> safe_name("logs/day 1.csv", 4)
    'logs/day 1.csv'
    >>> safe_name("../day.csv", 4)
    Traceback (most recent call last):
    haulwright.errors.FileRefusal: '../day.csv' is no plain name of a file: give it another.
    """
    parts = name.split("/")
    plain = len(parts) <= deepest and all(
        part.strip(" .") and part[0] != "." and part[-1] not in " ." and not _FORBIDDEN & {*part}
        for part in parts
    )
    if not plain or len(name.encode("utf-8", "replace")) > LONGEST_NAME or not name.isprintable():
        raise FileRefusal("NAME", f"{name!r} is no plain name of a file: give it another.", (name,))
    return name


@contextmanager
def _folder() -> Iterator[tuple[str, ExitStack]]:
    """Give a folder that goes at the end, unless what holds it is taken over."""
    with ExitStack() as held:
        kept = tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True)
        yield held.enter_context(kept), held


@asynccontextmanager
async def logs_of(request: Request, model: type[A], settings: Settings) -> AsyncIterator[Upload[A]]:
    """Give the logs of one run: parts ``log`` of a form with a part ``ask``, or one log as the raw body.

    Raises
    ------
    Refusal
        No log, too many, a name that is none, a question that cannot be read.
    """
    with _folder() as (folder, held):
        if _kind(request) != "multipart/form-data":
            ask = model.model_validate(_json(request.query_params.get("ask")))
            name = safe_name(request.query_params.get("name") or "log.csv")
            if not _kind(request):
                raise UsageRefusal(
                    "BODY", "There is no body: send the log as the body, or as a form.", ("body",)
                )
            await _keep_raw(request, Path(folder, name))
            yield Upload(folder, (name,), ask, held)
            return
        check_no_address(request)
        async with _form(request, MOST_LOGS, settings) as form:
            ask = model.model_validate(_json(_text(form, "ask")))
            files = _files(form, "log")
            names = await _keep(files, [safe_name(file.filename or "") for file in files], Path(folder))
        yield Upload(folder, names, ask, held)


@asynccontextmanager
async def campaign_of(
    request: Request, model: type[A], settings: Settings, deepest: int = DEEPEST_NAME
) -> AsyncIterator[Upload[A]]:
    """Give a campaign: parts ``file`` of a form, each named by its path from the campaign's folder, and a part ``ask``.

    Raises
    ------
    Refusal
        No form, no file, a name that leads elsewhere, a question that cannot be read.
    """
    if _kind(request) != "multipart/form-data":
        raise UsageRefusal(
            "BODY", "Send a campaign's files as a form, multipart/form-data, parts named file.", ("body",)
        )
    with _folder() as (folder, held):
        async with _form(request, settings.most_files, settings) as form:
            ask = model.model_validate(_json(_text(form, "ask")))
            files = _files(form, "file")
            names = [safe_name(file.filename or "", deepest) for file in files]
            await _keep(files, names, Path(folder, CAMPAIGN))
        yield Upload(folder, (CAMPAIGN,), ask, held)


def _kind(request: Request) -> str:
    return request.headers.get("content-type", "").partition(";")[0].strip().lower()


def check_no_address(request: Request) -> None:
    """Refuse what stands in the address where the body says all.

    Raises
    ------
    UsageRefusal
        UNKNOWN_KEY.
    """
    for name in request.query_params:
        text = f"{name} stands in the address: that is for a log sent as the raw body. Put it into the body."
        raise UsageRefusal("UNKNOWN_KEY", text, (name,))


def is_json(request: Request) -> bool:
    """Return whether a request says it holds JSON."""
    return _kind(request) == "application/json"


def _json(text: str | None) -> Any:
    return {} if text is None else read_json(text, "ask")


@asynccontextmanager
async def _form(request: Request, files: int, settings: Settings) -> AsyncIterator[FormData]:
    async with request.form(max_files=files, max_fields=2, max_part_size=settings.json_bytes) as form:
        yield form


def _text(form: FormData, name: str) -> str | None:
    given = form.getlist(name)
    strange = [key for key, value in form.multi_items() if isinstance(value, str) and key != name]
    if strange or len(given) > 1 or any(isinstance(one, UploadFile) for one in given):
        raise UsageRefusal(
            "BODY", f"The form holds other than files and one part {name} of text.", (*strange, name)
        )
    return str(given[0]) if given else None


def _files(form: FormData, name: str) -> list[UploadFile]:
    """Return the files of a form; one under another name is not passed over."""
    every = [(key, value) for key, value in form.multi_items() if isinstance(value, UploadFile)]
    strange = [key for key, _ in every if key != name]
    if strange or not every:
        raise UsageRefusal(
            "BODY", f"Send the files as parts named {name}, at least one.", tuple(strange) or (name,)
        )
    return [value for _, value in every]


async def _keep(files: Sequence[UploadFile], names: Sequence[str], folder: Path) -> tuple[str, ...]:
    folded = [name.casefold() for name in names]
    if twice := next((name for name in names if folded.count(name.casefold()) > 1), None):
        raise FileRefusal("NAME", f"{twice!r} is sent twice: give each file its own name.", (twice,))
    for file, name in zip(files, names, strict=True):
        await run_in_threadpool(_copy, file, folder / name)
    return tuple(names)


def _copy(file: UploadFile, path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as out:
            shutil.copyfileobj(file.file, out, 1 << 20)
    except (FileExistsError, NotADirectoryError, IsADirectoryError):
        raise FileRefusal("NAME", f"{path.name!r} is sent as a file and as a folder.", (path.name,)) from None


@asynccontextmanager
async def body_of(request: Request) -> AsyncIterator[tuple[str, str]]:
    """Give the raw body of a request as a file: the folder it lies in, and its name there."""
    with tempfile.TemporaryDirectory(prefix=PREFIX, ignore_cleanup_errors=True) as folder:
        await _keep_raw(request, Path(folder, SENT))
        yield folder, SENT


async def _keep_raw(request: Request, path: Path) -> None:
    with path.open("xb") as out:
        async for piece in request.stream():
            await run_in_threadpool(out.write, piece)
