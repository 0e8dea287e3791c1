"""One pull in every dialect a logger or a spreadsheet may write; all of it invented."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
from openpyxl import Workbook

COUNT = 120
START = datetime(2025, 6, 22, 10, 0, 0)
_I = np.arange(COUNT)
LINE = np.round(np.where((_I > 15) & (_I < 105), 1204.5 + 30.0 * np.sin(1.3 * _I), 2.5), 1)
ANCHOR = np.round(1.9 * LINE + 3.0 * np.cos(2.1 * _I) + 6.0, 1)
NEWTONS = {"kgf": 9.80665, "kN": 1000.0, "N": 1.0, "t": 9806.65, "lbf": 4.4482216152605}

Texts = list[str]
Log = tuple[dict[str, bytes], dict[str, str]]  # files by name, options


def fixed(values: Sequence[float], decimal: str = ".", digits: int = 1, thousands: str = "") -> Texts:
    """Return numbers in fixed-point texts."""
    texts = [f"{value:,.{digits}f}" for value in values]
    swap = {",": "\0", ".": decimal}
    return ["".join(swap.get(c, c) for c in text).replace("\0", thousands) for text in texts]


def stamps(style: str, step: float = 1.0, zone: timezone | None = None) -> Texts:
    """Return stamps in a style of strftime."""
    start = START.replace(tzinfo=zone)
    return [(start + timedelta(seconds=step * i)).strftime(style) for i in range(COUNT)]


def rows(*columns: Texts, separator: str = ",") -> str:
    """Return columns as lines."""
    return "".join(separator.join(row) + "\n" for row in zip(*columns, strict=True))


def wide(
    header: str = "time [s],line [kgf],anchor [kgf]",
    times: Texts | None = None,
    line: Texts | None = None,
    anchor: Texts | None = None,
    separator: str = ",",
) -> str:
    """Return a wide log as text."""
    times = fixed(range(COUNT), digits=3) if times is None else times
    body = rows(times, line or fixed(LINE), anchor or fixed(ANCHOR), separator=separator)
    return (header.replace(",", separator) + "\n" if header else "") + body


def long(unit: str = "kgf", decimal: str = ".", separator: str = ",") -> str:
    """Return a long log as text."""
    per = NEWTONS[unit] / NEWTONS["kgf"]
    lines = [separator.join(("when", "sensor", "force", "unit"))]
    for stamp, x, y in zip(stamps("%Y-%m-%d %H:%M:%S"), LINE / per, ANCHOR / per, strict=True):
        for name, value in (("winch line", x), ("anchor", y)):
            lines.append(separator.join((stamp, name, f"{value:.4f}".replace(".", decimal), unit)))
    return "\n".join(lines) + "\n"


def workbook(fill: Callable[[Workbook], None]) -> bytes:
    """Return a workbook as bytes."""
    book = Workbook()
    fill(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def _plain_sheet(book: Workbook) -> None:
    sheet = book.active
    assert sheet is not None
    sheet.append(["Pull record (invented)"])
    sheet.append(["time", "line [kgf]", "anchor [kgf]"])
    for i in range(COUNT):
        sheet.append([START + timedelta(seconds=i), float(LINE[i]), float(ANCHOR[i])])
    book.create_sheet("notes").append(["windy"])


def _two_sheets(book: Workbook) -> None:
    _plain_sheet(book)
    book.active.title = "pull 1"  # type: ignore[union-attr]
    other = book.create_sheet("pull 2")
    for i in range(COUNT):
        other.append([i, 1.0, 2.0])


def _one(text: str | bytes, **options: str) -> Log:
    return {"log.csv": text.encode() if isinstance(text, str) else text}, options


def dialects() -> Iterator[tuple[str, Log]]:
    """Yield every dialect: its name, and the files with what has to be told about them."""
    plain = wide()
    yield "plain", _one(plain)
    for name, mark in (("semicolon", ";"), ("tab", "\t"), ("bar", "|"), ("space", " ")):
        yield f"separator {name}", _one(wide("time_s,line_kgf,anchor_kgf", separator=mark))
    yield (
        "spaces in columns",
        _one(
            "".join(
                f"{t:>9} {x:>9} {y:>9}\n"
                for t, x, y in zip(
                    ["time_s", *fixed(range(COUNT))],
                    ["line_kgf", *fixed(LINE)],
                    ["anchor_kgf", *fixed(ANCHOR)],
                    strict=True,
                )
            )
        ),
    )
    comma = wide(
        times=fixed(range(COUNT), ","), line=fixed(LINE, ","), anchor=fixed(ANCHOR, ","), separator=";"
    )
    yield "decimal comma", _one(comma)
    quoted = [f'"{t}"' for t in fixed(LINE, ",")], [f'"{t}"' for t in fixed(ANCHOR, ",")]
    yield (
        "decimal comma quoted between commas",
        _one(wide(times=[f'"{t}"' for t in fixed(range(COUNT), ",")], line=quoted[0], anchor=quoted[1])),
    )
    for name, mark, decimal in (
        ("point", ".", ","), ("comma", ",", "."), ("blank", " ", ","), ("no-break space", "\u00a0", ","),
        ("thin space", "\u202f", ","), ("apostrophe", "'", "."),
    ):  # fmt: skip
        text = wide(line=fixed(LINE, decimal, thousands=mark), anchor=fixed(ANCHOR, decimal, thousands=mark),
                    times=fixed(range(COUNT), decimal), separator=";")  # fmt: skip
        yield f"thousands {name}", _one(text)
    for encoding in ("utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32"):
        yield f"encoding {encoding}", _one(plain.encode(encoding))
    for encoding in ("cp1252", "cp850", "latin-1", "utf-8"):
        legacy = wide("Zeit [s],Zugkraft Winde für Übung [kgf],Anker Größe [kgf]")
        yield f"umlauts {encoding}", _one(legacy.encode(encoding))
    yield "windows line ends", _one(plain.replace("\n", "\r\n"))
    yield "old line ends", _one(plain.replace("\n", "\r"))
    yield "doubled line ends", _one(plain.replace("\n", "\r\r\n"))
    yield "no line end at the end", _one(plain.rstrip("\n"))
    yield "end-of-file mark", _one(plain + "\x1a")
    yield "preamble", _one("Logger,7\nOperator: Sam\n\nDate;2025-06-22\n" + plain)
    yield "trailing lines", _one(plain + "\nmax,1234.5,2345.6\nend of record\n")
    body = plain.split("\n")
    again = "\n".join([*body[:50], "reconnected", body[0], *body[50:]])
    yield "header again after a reconnect", _one(again)
    yield "separator at the end of lines", _one(plain.replace("\n", ",\n"))
    yield "no header", _one(wide(""), line_column="2", anchor_column="3", unit="kgf")
    yield (
        "cell numbers for labels",
        _one(wide("time,4711,4712"), line_column="4711", anchor_column="4712", unit="kgf"),
    )
    yield "quotes", _one(wide('"time, [s]","line [kgf]","anchor [kgf]"'.replace(", ", " ")))
    for unit, newtons in NEWTONS.items():
        per = newtons / NEWTONS["kgf"]
        x, y = fixed(LINE / per, digits=4), fixed(ANCHOR / per, digits=4)
        yield (
            f"unit {unit} in brackets",
            _one(wide(f"time [s],line [{unit}],anchor ({unit})", line=x, anchor=y)),
        )
        yield f"unit {unit} after the name", _one(wide(f"time_s,line_{unit},anchor {unit}", line=x, anchor=y))
        yield (
            f"unit {unit} in a row of its own",
            _one(wide(f"time,line,anchor\ns,{unit},{unit}", line=x, anchor=y)),
        )
        yield (
            f"unit {unit} in the preamble",
            _one(f"Unit: {unit}\n" + wide("time,line,anchor", line=x, anchor=y)),
        )
        behind = [f"{t} {unit}" for t in x], [f"{t} {unit}" for t in y]
        yield (
            f"unit {unit} behind the value",
            _one(wide("time,line,anchor", line=behind[0], anchor=behind[1])),
        )
        units = [unit] * COUNT
        yield (
            f"unit {unit} in a column",
            _one("time,line,unit,anchor,unit\n" + rows(fixed(range(COUNT)), x, units, y, units)),
        )
        yield f"unit {unit} given", _one(wide("time,line,anchor", line=x, anchor=y), unit=unit)
        yield f"long, unit {unit}", _one(long(unit))
    kn = fixed(ANCHOR * NEWTONS["kgf"] / 1000.0, digits=5)
    yield "mixed units by header", _one(wide("time [s],line [kgf],anchor [kN]", anchor=kn))
    yield "mixed units given", _one(wide("time [s],line,anchor", anchor=kn), unit="line=kgf,anchor=kN")
    yield "mixed units row by row", _one(
        "time,line,unit,anchor [kgf]\n" + rows(fixed(range(COUNT)), [fixed([v])[0] if i % 2 else
        f"{v * 9.80665 / 1000:.6f}" for i, v in enumerate(LINE)], ["kgf" if i % 2 else "kN" for i in range(COUNT)],
        fixed(ANCHOR)))  # fmt: skip
    utc, east = UTC, timezone(timedelta(hours=2))
    for name, texts in {
        "iso": stamps("%Y-%m-%dT%H:%M:%S"), "iso, blank": stamps("%Y-%m-%d %H:%M:%S.000"),
        "iso, Z": stamps("%Y-%m-%dT%H:%M:%SZ"), "iso, offset": stamps("%Y-%m-%dT%H:%M:%S%z", zone=east),
        "iso, short": stamps("%Y%m%dT%H%M%S"), "iso, utc": stamps("%Y-%m-%d %H:%M:%S UTC", zone=utc),
        "day.month.year": stamps("%d.%m.%Y %H:%M:%S"), "day/month/year": stamps("%d/%m/%Y %H:%M:%S"),
        "day-month-year": stamps("%d-%m-%Y %H:%M:%S"), "short year": stamps("%d.%m.%y %H:%M:%S"),
        "month by name": stamps("%d-Jun-%Y %H:%M:%S"), "month first by name": stamps("Jun %d %Y %H:%M:%S"),
        "german month": stamps("%d Juni %Y %H:%M:%S"),
        "us": stamps("%m/%d/%Y %I:%M:%S %p"), "us, lower case": [t.lower() for t in stamps("%m/%d/%Y %I:%M:%S %p")],
        "dash before the time": stamps("%Y-%m-%d-%H:%M:%S.000"),
        "time of day": stamps("%H:%M:%S"), "time of day, AM": stamps("%I:%M:%S %p"),
        "epoch s": [str(1750586400 + i) for i in range(COUNT)],
        "epoch ms": [str(1000 * (1750586400 + i)) for i in range(COUNT)],
        "epoch us": [str(10**6 * (1750586400 + i)) for i in range(COUNT)],
        "elapsed": fixed(range(COUNT), digits=2), "spreadsheet days": [f"{45830 + i / 86400:.12f}" for i in range(COUNT)],
        "stopwatch": [f"{i // 60}:{i % 60:02d}.0" for i in range(COUNT)],
        "stopwatch with hours": [f"0:{i // 60:02d}:{i % 60:02d}" for i in range(COUNT)],
    }.items():  # fmt: skip
        yield f"clock {name}", _one(wide("when;line [kgf];anchor [kgf]", times=texts, separator=";"))
        yield f"clock {name}, commas", _one(wide("when,line [kgf],anchor [kgf]", times=texts))
    for label, per in (("ms", 1000.0), ("min", 1 / 60.0), ("h", 1 / 3600.0)):
        texts = [f"{i * per:.9f}" for i in range(COUNT)]
        yield f"clock elapsed {label}", _one(wide(f"time [{label}],line [kgf],anchor [kgf]", times=texts))
    yield (
        "clock given",
        _one(wide("t,line [kgf],anchor [kgf]", times=[str(1000 * i) for i in range(COUNT)]), clock="ms"),
    )
    ambiguous = [t.replace("22/06", "03/04") for t in stamps("%d/%m/%Y %H:%M:%S")]
    yield "dates given", _one(wide("t,line [kgf],anchor [kgf]", times=ambiguous), date_order="day-first")
    yield (
        "date and time apart",
        _one(
            "date,time,line kgf,anchor kgf\n"
            + rows(stamps("%d.%m.%Y"), stamps("%H:%M:%S"), fixed(LINE), fixed(ANCHOR))
        ),
    )
    yield (
        "a clock for each cell",
        _one(
            "time line,line kgf,time anchor,anchor kgf\n"
            + rows(stamps("%H:%M:%S"), fixed(LINE), stamps("%H:%M:%S"), fixed(ANCHOR))
        ),
    )
    yield (
        "blanks where the other cell speaks",
        _one(
            "t [s],line kgf,anchor kgf\n"
            + "".join(
                f"{i},{x},\n{i},,{y}\n"
                for i, (x, y) in enumerate(zip(fixed(LINE), fixed(ANCHOR), strict=True))
            )
        ),
    )
    yield (
        "battery, temperature and counter beside",
        _one(
            "no,time_s,line_kgf,anchor_kgf,battery_V,temp [°C]\n"
            + rows(
                [str(i + 1) for i in range(COUNT)],
                fixed(range(COUNT)),
                fixed(LINE),
                fixed(ANCHOR),
                ["3.7"] * COUNT,
                fixed(20 + 0.01 * _I),
            )
        ),
    )
    yield (
        "anchor first",
        _one("time_s,anchor_kgf,line_kgf\n" + rows(fixed(range(COUNT)), fixed(ANCHOR), fixed(LINE))),
    )
    yield "long, semicolon and comma", _one(long("kgf", ",", ";"))
    line_only = "time_s,force_kgf\n" + rows(fixed(range(COUNT)), fixed(LINE))
    anchor_only = "time_s,force_kgf\n" + rows(fixed(range(COUNT)), fixed(ANCHOR))
    yield "one file each", ({"a_line.csv": line_only.encode(), "b_anchor.csv": anchor_only.encode()}, {})
    yield "workbook", ({"log.xlsx": workbook(_plain_sheet)}, {})
    yield "workbook, sheet given", ({"log.xlsx": workbook(_two_sheets)}, {"sheet": "pull 1"})
