"""What happens to files, or is done to them: sound logs damaged with their structure in mind, and bytes of no sense."""

from __future__ import annotations

import io
import random
import zipfile

TOKENS = (
    b"", b"NaN", b"NA", b"OL", b"-", b"1e308", b"-1e999", b"0", b"1,234", b"1.234", b"kN", b"kgf", b"inf", b"=1+1",
    b"\"", b"\n\n", b"\r", b"\t", b";", b",", b"|", b" ", b"\0", b"\x1f", b"\xff\xfe", b"\xef\xbb\xbf", b"\xc3\x28",
    b"31.02.2025 10:00:00", b"2025-06-22T25:61:61Z", b"13/13/2025 1:00 PM", b"99999999999999999999", b"..", b"1:2:3:4",
    b"time,line,anchor\n", b"line,anchor,time\n", b"../../etc/passwd", b"\xe2\x88\x92" b"5", b"9" * 300, b"A" * 5000,
)  # fmt: skip
CHOICES = (
    {}, {}, {}, {"unit": "kgf"}, {"unit": "line=kN,anchor=t"}, {"decimal": "comma"}, {"separator": "semicolon"},
    {"separator": "space"}, {"encoding": "utf-16"}, {"encoding": "cp1252"}, {"clock": "ms"}, {"clock": "mm:ss"},
    {"date_order": "month-first"}, {"time_column": "2"}, {"line_column": "2", "anchor_column": "3"}, {"sheet": "1"},
    {"line_column": "3"}, {"zone": "Europe/Paris"}, {"zone": "America/New_York"}, {"zone": "line=UTC,anchor=+02:00"},
)  # fmt: skip


_WRITTEN = b"0123456789.,;:/-+ \tkgfNTZe"


def mutate(data: bytes, draw: random.Random) -> bytes:
    """Return a file with one to six things done to it that happen to files, or are done to them."""
    for _ in range(draw.randint(1, 6)):
        data = draw.choice(_WAYS)(data, draw)
        if len(data) > 2_000_000:
            data = data[:2_000_000]
    return data


def _at(data: bytes, draw: random.Random) -> int:
    return draw.randint(0, len(data))


def _cut(data: bytes, draw: random.Random) -> bytes:
    a, b = sorted((_at(data, draw), _at(data, draw)))
    return data[:a] + data[b:] if draw.random() < 0.6 else data[:a]


def _flip(data: bytes, draw: random.Random) -> bytes:
    spoilt = bytearray(data)
    for _ in range(draw.randint(1, 20)):
        if spoilt:
            byte = draw.randrange(256) if draw.random() < 0.02 else draw.choice(_WRITTEN)
            spoilt[draw.randrange(len(spoilt))] = byte
    return bytes(spoilt)


def _insert(data: bytes, draw: random.Random) -> bytes:
    at = _at(data, draw)
    return data[:at] + draw.choice(TOKENS) * draw.choice((1, 1, 1, 2, 50)) + data[at:]


def _field(data: bytes, draw: random.Random) -> bytes:
    """Put a token in the place of fields."""
    lines = data.split(b"\n")
    for _ in range(draw.choice((1, 3, 30, len(lines)))):
        at = draw.randrange(len(lines))
        mark = next((m for m in (b";", b"\t", b"|", b",") if m in lines[at]), b",")
        fields = lines[at].split(mark)
        fields[draw.randrange(len(fields))] = draw.choice(TOKENS)
        lines[at] = mark.join(fields)
    return b"\n".join(lines)


def _lines(data: bytes, draw: random.Random) -> bytes:
    """Shuffle, repeat, reverse or drop lines, or glue them together."""
    lines = data.split(b"\n")
    a, b = sorted((draw.randint(0, len(lines)), draw.randint(0, len(lines))))
    way = draw.randrange(5)
    if way == 0:
        part = lines[a:b]
        draw.shuffle(part)
        lines[a:b] = part
    elif way == 1:
        lines[a:a] = lines[a:b]
    elif way == 2:
        lines[a:b] = lines[a:b][::-1]
    elif way == 3:
        lines[a:a] = lines[:1]
    else:
        lines[a:b] = [b"".join(lines[a:b])]
    return b"\n".join(lines)


def _replace(data: bytes, draw: random.Random) -> bytes:
    old, new = (
        draw.choice((b",", b".", b";", b":", b"-", b"\n", b"0", b"1", b"kgf", b"e")),
        draw.choice(TOKENS[:30]),
    )
    return data.replace(old, new, draw.choice((1, 5, -1)))


def _swap(data: bytes, draw: random.Random) -> bytes:
    return (
        data[1:]
        if draw.random() < 0.5
        else data.replace(b"\n", draw.choice((b"\r", b"\r\n", b"\r\r\n", b"\n\n")))
    )


_WAYS = (_cut, _flip, _insert, _field, _field, _lines, _lines, _replace, _swap)


def mutate_workbook(data: bytes, draw: random.Random) -> bytes:
    """Return a workbook damaged as a file, or a sound package whose parts are damaged."""
    if draw.random() < 0.3:
        return draw.choice((_cut, _flip, _insert))(data, draw)
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(data)) as old,
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new,
    ):
        for part in old.infolist():
            text = old.read(part)
            sheet = part.filename.startswith("xl/worksheets/sheet")
            if draw.random() < (0.8 if sheet else 0.07):
                text = draw.choice((_cut, _flip, _insert, _replace, _cells, _cells))(text, draw)
            if draw.random() > 0.01:
                new.writestr(part.filename, text)
    return stream.getvalue()


def _cells(text: bytes, draw: random.Random) -> bytes:
    """Change cells of a sheet: other types, other places, formulas, numbers beyond all bounds."""
    swaps = (
        (b't="n"', draw.choice((b't="s"', b't="str"', b't="e"', b't="b"', b't="d"', b't="inlineStr"', b""))),
        (b"<v>", draw.choice((b"<f>A1</f><v>", b"<v>9", b"<v>-", b"<v>1e", b"<v>x"))),
        (b'r="A', draw.choice((b'r="XFD', b'r="ZZZZ', b'r="', b'r="B'))),
        (b'<row r="', draw.choice((b'<row r="9', b'<row r="99999', b'<row r="-', b'<row r="x'))),
        (b"</row>", draw.choice((b"", b"</row></row>", b"</row><row>"))),
        (b's="1"', draw.choice((b's="99"', b's="-1"', b's="x"', b""))),
    )
    old, new = draw.choice(swaps)
    return text.replace(old, new, draw.choice((1, 10, -1)))


def random_file(draw: random.Random) -> bytes:
    """Return bytes of no sense, or of the letters logs are written in."""
    size = draw.choice((0, 1, 10, 100, 1000, 20_000))
    if draw.random() < 0.3:
        return draw.randbytes(size)
    alphabet = b'0123456789.,;:/-\t\n\n "aLZkN+eE=OL'
    return bytes(draw.choices(alphabet, k=size))
