"""The sheets beside the results: cautions first of all, devices, comparisons, cells, what was left out, notices."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from haulwright.notices import Notice
from haulwright.publishing.report_words import head, invented_mark, sentence_case
from haulwright.publishing.wording import NOT_STATED, cautions, comparison_sentence, comparison_word, others
from haulwright.publishing.workbook.cells import LIVE, TEXT, VALUE, Cell, Column, Formula, Sheet
from haulwright.publishing.workbook.result_pages import HEAD, Where
from haulwright.trials.result import CampaignResult
from haulwright.version import __version__

_K, _FORCE = "0.0000", "0.0"
_NARROW, _WIDE = 30.0, 110.0
DECISION_RULE = (
    "Different: the 95 % interval of the quotient of the advantages, corrected for the number of pairs (Holm 1979), leaves 1 "
    "out.",
    "Alike: two one-sided tests at 5 % (Schuirmann 1987) put the quotient inside the margin that was set before the test.",
    "Different, but by little: both at once. Not shown different: neither, which is not the same as alike.",
    "Without any repeat in the campaign the scatter between set-ups is not known, and nothing is called different or alike.",
)


def write_cautions(
    sheet: Sheet, campaign: CampaignResult, sheets: Sequence[tuple[str, str]], units: str
) -> None:
    """Write the first sheet: cautions, what this is and how it is read, who answers for it, the sheets there are."""
    looks = sheet.looks
    sheet.sheet.set_column(0, 0, _NARROW)
    sheet.sheet.set_column(1, 1, _WIDE)
    about = campaign.about
    sheet.title(about.get("title") or f"Pull test: {campaign.name}")
    row = 1
    mark = invented_mark(campaign)
    lines: list[tuple[str, str]] = [("Invented", mark)] if mark else []
    every = [*campaign.notices, *(one for run in campaign.runs for one in run.notices)]
    lines += [("Caution", one.message) for one in cautions(every)]
    for what, text in lines:
        sheet.tall(row, [(text, _WIDE / 1.15)])
        sheet.put(row, 0, what, looks(bold=True))
        sheet.put(row, 1, text, looks(bold=True, text_wrap=True))
        row += 1
    row = _lines(sheet, row + 1, "How to read it", _reading(campaign, units))
    row = _lines(sheet, row + 1, "Who and what", [(what, text or NOT_STATED) for what, text in head(about)])
    _lines(sheet, row + 1, "Sheets", sheets)


def _reading(campaign: CampaignResult, units: str) -> list[tuple[str, str]]:
    shown = "" if units == "N" else f" On the sheet of results the means stand in {units} too."
    made = campaign.made
    return [
        ("Formula, value, as written", "The third line of every head says which. A formula is reckoned here, from cells of "
         "this workbook; a value comes from the library, and with it every uncertainty and interval; words stand as written."),
        ("Units", "The second line of every head: forces in N, times in s, 1 is a plain number; a cell shown in % holds the "
         f"fraction.{shown}"),
        ("Figures", "Cells hold more figures than they show: readings as they were read, numbers as they are in the record."),
        ("Uncertainty", "u is a standard uncertainty; 95 % from and to are the ends of the 95 % interval."),
        ("What was reckoned", made.method if made else NOT_STATED),
        ("Sources", "; ".join(made.sources) if made else NOT_STATED),
        ("Software", f"Haulwright {made.version if made else __version__}"),
    ]  # fmt: skip


def _lines(sheet: Sheet, row: int, title: str, lines: Sequence[tuple[str, str]]) -> int:
    sheet.put(row, 0, title, sheet.looks(bold=True, top=1))
    sheet.put(row, 1, "", sheet.looks(top=1))
    for n, (what, text) in enumerate(lines, row + 1):
        sheet.tall(n, [(what, _NARROW), (text, _WIDE)])
        sheet.put(n, 0, what, sheet.looks.words)
        sheet.put(n, 1, text, sheet.looks.words)
    return row + 1 + len(lines)


def write_devices(sheet: Sheet, campaign: CampaignResult) -> None:
    """Write the friction of every device: k and efficiency of one 180-degree pass, where it holds, where it comes from."""
    columns = [
        Column("Device", "", TEXT, 18),
        Column("What it is", "", TEXT, 44),
        Column("Tension ratio k of one 180° pass", "1", VALUE, 13, _K),
        Column("Standard uncertainty", "1", VALUE, 12, _K),
        Column("95 % from", "1", VALUE, 10, _K),
        Column("95 % to", "1", VALUE, 10, _K),
        Column("Efficiency e = 1/k", "1", LIVE, 12, _K),
        Column("Standard uncertainty", "1", VALUE, 12, _K),
        Column("95 % from", "1", VALUE, 10, _K),
        Column("95 % to", "1", VALUE, 10, _K),
        Column("Tested from", "N", VALUE, 11, _FORCE),
        Column("Tested to", "N", VALUE, 11, _FORCE),
        Column("Exponent of the load", "1", VALUE, 12, "0.000"),
        Column("Its standard uncertainty", "1", VALUE, 12, "0.000"),
        Column("k holds at", "N", VALUE, 11, _FORCE),
        Column("Source", "", TEXT, 60),
    ]
    sheet.title(
        "Friction of the devices",
        "Fitted by least squares over all runs; a friction belongs to the device, rope and loads tested.",
    )
    rows = []
    for n, (name, one) in enumerate(campaign.devices.items()):
        runs = ", ".join(run.run for run in campaign.runs if name in run.devices)
        valid = one.valid_N or (None, None)
        b = one.load_exponent
        rows.append(
            [
                name,
                str(campaign.about.get(f"device {name}", "") or NOT_STATED),
                *(one.k.value, one.k.u, one.k.lo, one.k.hi),
                Formula(f"=1/C{HEAD + 4 + n}", one.efficiency.value),
                *(one.efficiency.u, one.efficiency.lo, one.efficiency.hi),
                *valid,
                *((b.value, b.u) if b else (None, None)),
                one.at_N,
                f"Pull-test campaign {campaign.name}, runs {runs}",
            ]
        )
    _write(sheet, columns, rows)


def write_comparisons(sheet: Sheet, campaign: CampaignResult, where: Where) -> None:
    """Write the comparisons with their decision rule."""
    columns = [
        Column("A", "", TEXT, 32),
        Column("B", "", TEXT, 32),
        Column("Advantage of A ÷ that of B", "1", LIVE, 13, _K),
        Column("In the record", "1", VALUE, 12, _K),
        Column("Standard uncertainty", "1", VALUE, 12, _K),
        Column("95 % from", "1", VALUE, 10, _K),
        Column("95 % to", "1", VALUE, 10, _K),
        Column("Margin set beforehand", "%", VALUE, 12, "0.0%"),
        Column("Verdict", "", TEXT, 22),
        Column("Runs of each still needed", "runs", VALUE, 12, "0"),
        Column("In words", "", TEXT, 80),
    ]
    sheet.title("Comparisons", "The decision rule stands below the table.")
    rows: list[list[Cell]] = []
    for one in campaign.comparisons:
        r = one.ratio
        known = one.a in where.advantage and one.b in where.advantage
        here = f"={where.advantage[one.a]}/{where.advantage[one.b]}" if known else ""
        rows.append(
            [
                *(one.a, one.b),
                Formula(here, r.value) if here else None,
                *(r.value, r.u, r.lo, r.hi, one.margin),
                *(comparison_word(one), one.runs_needed, comparison_sentence(one)),
            ]
        )
    below = _write(sheet, columns, rows)
    sheet.put(below + 1, 0, "Decision rule", sheet.looks(bold=True))
    for row, sentence in enumerate(DECISION_RULE, below + 2):
        sheet.put(row, 0, sentence)


def write_cells(sheet: Sheet, campaign: CampaignResult) -> None:
    """Write the load cells: what is stated of each, gain and zero where the runs tell them, and the checks."""
    stated = {
        key.removeprefix("cell "): text for key, text in campaign.about.items() if key.startswith("cell ")
    }
    columns = [
        Column("Cell", "", TEXT, 20),
        Column("Class or certificate, as stated", "", TEXT, 60),
        Column("Gain against the line cell", "1", VALUE, 12, "0.00000"),
        Column("Standard uncertainty", "1", VALUE, 12, "0.00000"),
        Column("Mean zero", "N", VALUE, 10, _FORCE),
        Column("Standard uncertainty", "N", VALUE, 12, _FORCE),
    ]
    sheet.title("Load cells")
    rows: list[list[Cell]] = []
    for name in dict.fromkeys([*stated, *campaign.cells]):
        one = campaign.cells.get(name)
        zero = one.zero_N if one else None
        gain = (one.gain.value, one.gain.u) if one else (None, None)
        rows.append(
            [
                name,
                str(stated.get(name, NOT_STATED)),
                *gain,
                *((zero.value, zero.u) if zero else (None, None)),
            ]
        )
    sheet.widths(columns)
    below = sheet.table(HEAD, columns, rows)
    checks = [
        Column("Check", "", TEXT),
        Column("Runs, and cells: second ÷ first", "", TEXT),
        Column("Ratio at one force", "1", VALUE, 12, "0.00000"),
        Column("Standard uncertainty", "1", VALUE, 12, "0.00000"),
        Column("95 % from", "1", VALUE, 12, "0.00000"),
        Column("95 % to", "1", VALUE, 12, "0.00000"),
        Column("Used", "", TEXT),
    ]
    told: list[list[Cell]] = [
        [
            c.how,
            f"{', '.join(c.runs)}: {c.line_cell}, {c.anchor_cell}",
            *(c.ratio.value, c.ratio.u, c.ratio.lo, c.ratio.hi),
            "yes" if c.used else "no",
        ]
        for c in campaign.checks
    ]
    sheet.put(below + 1, 0, "The cells against each other", sheet.looks(bold=True))
    sheet.table(below + 2, checks, told)


def write_left_out(sheet: Sheet, campaign: CampaignResult) -> None:
    """Write the runs that were left out, with the reason."""
    columns = [
        Column(head, "", TEXT, width) for head, width in (("Run", 16), ("Why", 90), ("Who", 20), ("When", 12))
    ]
    sheet.title("Runs left out")
    rows = [[str(one.get(key, "")) for key in ("run", "why", "who", "when")] for one in campaign.excluded]
    if not rows:
        sheet.put(1, 0, "None: every run of the sheet gives a number and is in the results.")
    _write(sheet, columns, rows)


def write_notices(sheet: Sheet, campaign: CampaignResult) -> None:
    """Write every notice of the campaign and of its runs."""
    columns = [
        Column(head, "", TEXT, width)
        for head, width in (("Of", 16), ("Level", 10), ("Code", 20), ("What", 110))
    ]
    sheet.title("Notices")
    told: Mapping[str, Sequence[Notice]] = {
        "campaign": campaign.notices,
        **{run.run: run.notices for run in campaign.runs},
    }
    rows = [
        [of, sentence_case(one.level), one.code, one.message]
        for of, notices in told.items()
        for one in (*cautions(notices), *others(notices))
    ]
    _write(sheet, columns, rows)


def _write(sheet: Sheet, columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> int:
    sheet.widths(columns)
    sheet.sheet.freeze_panes(HEAD + 3, 1)
    return sheet.table(HEAD, columns, rows)
