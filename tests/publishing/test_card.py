"""The card: one page, every number on it, over and unknown never dropped, the same bytes every time."""

from __future__ import annotations

import io
import re
import struct
from dataclasses import replace
from functools import cache
from pathlib import Path

import pypdf
import pytest

from haulwright.errors import RigRefusal, UsageRefusal
from haulwright.mechanics.notation import parse_notation
from haulwright.mechanics.solution import RigSolution
from haulwright.mechanics.statics import solve_rig
from haulwright.notices import Code
from haulwright.planning.plan import make_plan
from haulwright.planning.result import Candidate, ItemCheck, ItemLoad, Plan
from haulwright.publishing.card import card_page
from haulwright.publishing.wording import force, percent, plus_minus
from haulwright.quantities.measured import Measured

PULLS = Path(__file__).resolve().parents[2] / "examples" / "pulls"
STAMP = "25 November 2026, version 0.1.0"
POINTS_PER_MM = 72.0 / 25.4
# ISO 216:2007; letter is 8.5 by 11 inches
SIZES_MM = {"a6": (105.0, 148.0), "a5": (148.0, 210.0), "a4": (210.0, 297.0), "letter": (215.9, 279.4)}
SHEETS_MM = {"a6x4": (210.0, 297.0), "a6x2": (279.4, 215.9)}


@cache
def plan() -> Plan:
    return make_plan(PULLS / "rutted-clearing.yaml")


@cache
def records(rank: int) -> tuple[Candidate, RigSolution, tuple[RigSolution, RigSolution], dict[str, Measured]]:
    candidate = plan().candidates[rank]
    rig = parse_notation(candidate.path)
    ratios = {block: Measured.normal(1.2, 0.03) for block in candidate.devices}
    likely = plan().resistance_N.likely
    stall = (
        solve_rig(rig, ratio=ratios, effort_N=candidate.stall_N),
        solve_rig(rig, ratio=1.0, effort_N=candidate.stall_N),
    )
    return candidate, solve_rig(rig, ratio=ratios, load_N=likely), stall, ratios


def card(rank: int = 0, *, of: Candidate | None = None, a_plan: Plan | None = None, **words: str) -> bytes:
    candidate, solution, stall, ratios = records(rank)
    options = {"title": "Own winch", "stamp": STAMP, **words}
    return card_page(a_plan or plan(), of or candidate, solution, stall, ratios=ratios, **options)


def read(pdf: bytes) -> tuple[pypdf.PdfReader, str]:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    text = "\n".join(page.extract_text() for page in reader.pages)
    return reader, re.sub(r"[\s\u200b]+", " ", text)


def item(n: int, verdict: str, share: float | None = 0.5, name: str = "") -> ItemCheck:
    limit = None if share is None else 40_000.0 / share
    load = ItemLoad(10_000.0 + n, 20_000.0 + n, 40_000.0 + 100.0 * n)
    return ItemCheck(name or f"S-{n:02}", "soft shackle", load, limit, "WLL", share, verdict)


RANKS = range(len(plan().candidates))


@pytest.mark.parametrize("paper", SIZES_MM)
@pytest.mark.parametrize("rank", RANKS)
def test_one_page_of_the_stated_size(rank: int, paper: str) -> None:
    reader, _ = read(card(rank, paper=paper))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    wide, high = SIZES_MM[paper]
    assert float(box.width) == pytest.approx(wide * POINTS_PER_MM, abs=0.1)
    assert float(box.height) == pytest.approx(high * POINTS_PER_MM, abs=0.1)


@pytest.mark.parametrize("paper", SIZES_MM)
@pytest.mark.parametrize("rank", RANKS)
def test_every_number_is_there(rank: int, paper: str) -> None:
    candidate, _, _, _ = records(rank)
    _, text = read(card(rank, paper=paper))

    def there(*expected: str) -> None:
        for words in expected:
            assert re.sub(r"[\s\u200b]+", " ", words) in text, words

    there(force(candidate.effort_N.likely, unit=False), force(candidate.stall_N, unit=False))
    there(force(candidate.effort_N.likely, "kgf"), force(candidate.stall_N, "kgf"))
    there(f"Nobody within {plan().zone.radius_m:.1f} m", plan().zone.rule, "A damper on each part")
    there(f"Needs {candidate.line_needed_m:.1f} m of line", f"{candidate.line_have_m:.1f} there")
    r = plan().resistance_N
    there(force(r.low, unit=False), force(r.high, unit=False), force(r.breakout, unit=False), r.chosen)
    there("an estimate, not a rating", "Invented demo data", STAMP, "Local codes", "No elastic part")
    for line in plan().checklist:
        if line.startswith("STOP if "):
            there(line.removeprefix("STOP if "))
    for check in candidate.items:
        if check.verdict != "inside":
            there(check.verdict, force(check.load_N.stall, unit=False))
            if check.limit_N is not None and check.utilisation is not None:
                there(force(check.limit_N, unit=False), f"{check.utilisation * 100:.0f} %")


def test_the_best_card_shows_drawing_advantage_share_and_friction() -> None:
    candidate, solution, stall, ratios = records(0)
    _, text = read(card())
    for line, record in ((stall[1].lines, stall[1]), (solution.lines, solution)):
        for part in line["winch line"].parts:
            assert force(part.tension_N, unit=False) in text
        assert force(record.bodies["oak"].load_N, unit=False) in text
    spaced = [
        plus_minus(plan().measured(candidate, "advantage")),
        percent(plan().measured(candidate, "winch_share")),
        f"k {plus_minus(ratios['oak'])} B-01",
    ]
    for words in spaced:
        assert re.sub(r"\s+", " ", words) in text
    assert "(catalogue)" in text


def test_the_planning_percentage_is_the_upper_end_of_the_winch_share_rounded_up() -> None:
    candidate, *_ = records(0)
    share = 100.0 * plan().measured(candidate, "winch_share").hi
    _, text = read(card())
    (shown,) = re.findall(r"planning percentage (\d+) %", text)
    assert share <= int(shown) < share + 1.0


def test_stall_on_the_drawing_is_the_greatest_with_or_without_friction() -> None:
    # friction never excuses smaller gear: the drawing's anchor carries what the table's anchor carries
    candidate, *_ = records(0)
    (anchor,) = [i for i in candidate.items if i.role.startswith("anchor")]
    _, text = read(card())
    assert f"oak {force(anchor.load_N.likely, unit=False)} {force(anchor.load_N.stall, unit=False)}" in text


def test_a_rig_that_is_over_says_it_is_not_to_be_used() -> None:
    over = next(rank for rank in RANKS if plan().candidates[rank].verdict == "over")
    unknown = next(rank for rank in RANKS if plan().candidates[rank].verdict == "unknown")
    for rank in (over, unknown):
        assert "Not to be used as it stands." in read(card(rank))[1]
    assert "Not to be used" not in read(card(0))[1]


@pytest.mark.parametrize("inside", [0, 1, 8, 30])
@pytest.mark.parametrize("paper", SIZES_MM)
def test_inside_pieces_give_way_and_the_others_stay(inside: int, paper: str) -> None:
    firm = [item(1, "over", 1.2), item(2, "unknown", None), item(3, "tight", 0.9), item(4, "over", 1.1)]
    rows = [item(10 + n, "inside", 0.3 + n / 100.0) for n in range(inside)]
    of = replace(records(0)[0], items=(*rows, *firm), verdict="over")
    reader, text = read(card(of=of, paper=paper))
    assert len(reader.pages) == 1
    for check in firm:
        assert check.item in text
        assert force(check.load_N.stall, unit=False) in text
    for words in ("over 120 %", "unknown", "tight 90 %", "over 110 %"):
        assert words in text
    shown = sum(check.item in text for check in rows)
    hidden = re.findall(r"(\d+) (?:others?|more) inside, worst (\d+) %", text)
    assert shown + (int(hidden[0][0]) if hidden else 0) == inside
    if hidden:
        left = sorted((c.utilisation or 0.0 for c in rows), reverse=True)[shown:]
        assert int(hidden[0][1]) == round(100.0 * left[0])


@pytest.mark.parametrize("paper", SIZES_MM)
def test_long_names_stay_on_one_page(paper: str) -> None:
    names = [
        "x" * 90,
        "the long soft shackle of the second club, borrowed in spring and not yet returned to it",
        "W" * 40,
    ]
    rows = tuple(item(n, "tight", 0.85, name) for n, name in enumerate(names * 2))
    of = replace(
        records(0)[0], items=rows, rig="three hundred metres of " * 6, why="Because. " + "of this " * 40
    )
    reader, text = read(
        card(of=of, paper=paper, title="A title that goes on and on, as titles of pulls tend to do")
    )
    assert len(reader.pages) == 1
    for check in rows:
        assert force(check.load_N.stall, unit=False) in text


def test_a_card_that_cannot_hold_its_pieces_is_refused() -> None:
    of = replace(records(0)[0], items=tuple(item(n, "over", 1.5) for n in range(60)))
    with pytest.raises(RigRefusal) as caught:
        card(of=of)
    assert caught.value.code == "CARD_FULL"


def test_call_a_professional_stands_first() -> None:
    notice = Code.STOP_PROFESSIONAL.notice(("pull",), text="powerlines are near.")
    _, text = read(card(a_plan=replace(plan(), notices=(*plan().notices, notice))))
    assert text.index("call a professional: powerlines are near.") < text.index("kN at the drum")


def test_without_the_notice_nothing_is_marked_invented() -> None:
    real = replace(plan(), notices=tuple(n for n in plan().notices if n.code != Code.INVENTED.name))
    of = replace(records(0)[0], notices=())
    assert "Invented" not in read(card(a_plan=real, of=of))[1]


def test_a_rig_that_cannot_be_drawn_still_has_its_card() -> None:
    candidate, solution, stall, ratios = records(0)
    blank = replace(solution, _layout={})
    pdf = card_page(plan(), candidate, blank, stall, title="No plan", stamp=STAMP, ratios=ratios)
    reader, text = read(pdf)
    assert len(reader.pages) == 1
    assert "No drawing:" in text
    assert "inside any bend" in text


def test_records_of_two_rigs_are_refused() -> None:
    candidate, solution, _, _ = records(0)
    other = next(r for r in RANKS if plan().candidates[r].ideal_advantage == 3)
    with pytest.raises(RigRefusal) as caught:
        card_page(plan(), candidate, solution, records(other)[2], title="Mixed", stamp=STAMP)
    assert caught.value.code == "OTHER_RIG"


@pytest.mark.parametrize(
    ("words", "code"), [({"paper": "b5"}, "PAPER"), ({"as_": "bmp"}, "FORMAT"), ({"units": "stone"}, "UNITS")]
)
def test_unknown_choices_are_refused(words: dict[str, str], code: str) -> None:
    with pytest.raises(UsageRefusal) as caught:
        card(**words)  # type: ignore[arg-type]
    assert caught.value.code == code


def test_units_of_the_card() -> None:
    _, text = read(card(units="kgf"))
    assert "kgf at the drum" in text
    assert force(records(0)[0].stall_N, "kN").replace("\u00a0", " ") in text  # the second line then is in kN


def test_the_same_bytes_every_time() -> None:
    assert card() == card()


def test_only_the_two_bundled_faces_and_no_date() -> None:
    reader, _ = read(card())
    fonts = reader.pages[0]["/Resources"]["/Font"]  # type: ignore[index]
    names = {str(fonts[key].get_object()["/BaseFont"]) for key in fonts}
    assert all("Besley" in name or "AtkinsonHyperlegibleNext" in name for name in names)
    assert (
        reader.metadata is None
        or reader.metadata.creation_date is None
        or reader.metadata.creation_date.year == 1970
    )


@pytest.mark.parametrize(("paper", "cards"), [("a6x4", 4), ("a6x2", 2)])
def test_several_cards_on_a_sheet_are_the_same_card(paper: str, cards: int) -> None:
    reader, text = read(card(paper=paper))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    wide, high = SHEETS_MM[paper]
    assert float(box.width) == pytest.approx(wide * POINTS_PER_MM, abs=0.1)
    assert float(box.height) == pytest.approx(high * POINTS_PER_MM, abs=0.1)
    _, one = read(card(paper="a6"))
    assert text.count("STOP if") == cards
    assert text.split() == one.split() * cards  # every word and number, nothing left out on the sheet


def test_the_page_to_look_at_is_the_page_that_is_printed() -> None:
    wide, high = SIZES_MM["a6"]
    png = card(as_="png")
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    dots = struct.unpack(">II", png[16:24])
    assert dots == (pytest.approx(wide / 25.4 * 300.0, abs=1.5), pytest.approx(high / 25.4 * 300.0, abs=1.5))
    svg = card(as_="svg").decode()
    head = re.search(r'<svg [^>]*width="([0-9.]+)pt" height="([0-9.]+)pt"', svg)
    assert head is not None
    assert float(head[1]) == pytest.approx(wide * POINTS_PER_MM, abs=0.1)
    assert float(head[2]) == pytest.approx(high * POINTS_PER_MM, abs=0.1)
    assert "<script" not in svg
    assert card(as_="svg") == svg.encode()
