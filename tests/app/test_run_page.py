"""The page of one run: its answer, the stretch overruled by hand with a reason, logs that belong to no campaign.

Numbers on the page are held against what the command line prints for the same logs and decisions.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import pytest

from haulwright.publishing.wording import percent, plus_minus
from haulwright.quantities.measured import Measured

EXAMPLE = Path(__file__).parents[2] / "examples" / "campaign"
LOGS = EXAMPLE / "logs"
RUN = "#/trials/at/meadow%20(invented)/run/two-a1"
BOTH = pytest.mark.parametrize("size", ["laptop", "phone"])
WHY = "second half rubbed on a root"


def told(folder: Path, *words: str) -> dict:
    """What the command line prints with --json."""
    done = subprocess.run(
        [sys.executable, "-m", "haulwright", *words, "--json"], cwd=folder, capture_output=True, check=True
    )
    return json.loads(done.stdout)


def measured(record: dict) -> Measured:
    return Measured(record["value"], record["u"], *record["interval95"])


def decided(tmp_path: Path, run: str, *stretches: tuple[float, float]) -> dict:
    """The run as ``campaign measure`` prints it for the shipped campaign with stretches set by hand."""
    folder = Path(shutil.copytree(EXAMPLE, tmp_path / "copy"))
    rows = "".join(
        f"  - {{run: {run}, start: {a} s, end: {b} s, who: A. Sample, when: 2026-01-05, why: {WHY}}}\n"
        for a, b in stretches
    )
    (folder / "decisions.yaml").write_text(f"stretches:\n{rows}", encoding="utf-8")
    return next(one for one in told(tmp_path, "campaign", "measure", "copy")["runs"] if one["run"] == run)


def answered(page, result: dict) -> None:
    """Wait until the page shows the answer of a record, and hold its other figures to it."""
    value = plus_minus(measured(result["advantage"]), figures=1)
    page.locator(f"[data-answer='{value.split(' ')[0]}']:visible").wait_for()
    share = percent(measured(result["winch_share"]), figures=1)
    page.locator("[data-figure='winch_share']", has_text=share).wait_for()
    for device, friction in result["friction"].items():
        page.locator(f"[data-figure='k {device}']", has_text=plus_minus(measured(friction["k"]))).wait_for()


def handle(page, name: str):
    return page.get_by_role("slider", name=f"{name} of the steady stretch")


def seconds_of(one) -> float:
    return float(one.get_attribute("aria-valuenow"))


def drag(page, touch, size: str, one, dx: float) -> None:
    one.scroll_into_view_if_needed()
    if size == "phone":  # the words along the bottom of the screen must not lie over it
        page.evaluate("window.scrollBy(0, 120)")
    box = one.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    if size == "phone":
        touch(page, (x, y), (x + dx / 3, y), (x + dx / 1.5, y), (x + dx, y))
        return
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx / 2, y, steps=4)
    page.mouse.move(x + dx, y, steps=4)
    page.mouse.up()


@BOTH
def test_a_run_shows_its_answer_with_reasons_and_what_it_rests_on(
    server, opened, sound, shot, tmp_path, size
):
    page = opened(server, size, RUN)
    whole = told(tmp_path, "campaign", "measure", str(EXAMPLE))
    answered(page, next(one for one in whole["runs"] if one["run"] == "two-a1"))
    page.get_by_role("heading", name="Run two-a1").wait_for()
    page.get_by_text("Starts at 141 s.").wait_for()
    page.get_by_text("Ends at 279 s.").wait_for()
    page.get_by_text("changes the result by less than 0.001").wait_for()
    assert page.get_by_role("row", name=re.compile("scatter of this run")).is_visible()
    assert page.get_by_role("row", name=re.compile("together, 95 %")).is_visible()
    page.get_by_role("heading", name=re.compile("Anchor stamped 3.96 ± 0.15 s earlier")).wait_for()
    page.get_by_text("Peak forces are not measured").first.wait_for()
    page.locator(".field canvas").first.wait_for()
    sound(page)
    shot(page, "run", full=True)


@BOTH
def test_a_dragged_handle_asks_why_and_the_result_is_that_of_the_command_line(
    own_server, opened, sound, shot, touch, tmp_path, size
):
    page = opened(own_server, size, RUN)
    before = page.locator("[data-answer]:visible")
    before.wait_for()
    rule = before.get_attribute("data-answer")
    rule_k = page.locator("[data-figure='k puck-A']").inner_text()
    start, end = handle(page, "Start"), handle(page, "End")
    drag(page, touch, size, end, -70 if size == "laptop" else -40)
    page.get_by_text(re.compile(r"Moved by hand: 141.s to ")).wait_for()
    # nothing counts before it has a name and a reason
    keep = page.get_by_role("button", name="Keep this stretch")
    keep.click()
    assert page.locator("[aria-invalid=true]").count() == 2
    page.get_by_label("Why", exact=True).fill(WHY)
    page.get_by_label("Who", exact=True).fill("A. Sample")
    begins, ends = round(seconds_of(start), 3), seconds_of(end)
    assert 200 < ends < 275
    page.evaluate("window.scrollTo(0, 0)")
    sound(page)
    keep.scroll_into_view_if_needed()
    shot(page, "run-by-hand")
    keep.click()
    page.get_by_text(re.compile("Set by hand: ")).wait_for()
    by_line = decided(tmp_path, "two-a1", (begins, ends))
    answered(page, by_line)
    page.get_by_text(WHY).first.wait_for()
    page.get_by_text("A. Sample").first.wait_for()
    # and back to the rule, again with a reason that stays
    page.get_by_role("button", name="Use the rule again").click()
    page.get_by_label("Why", exact=True).fill("it was another run")
    page.get_by_role("button", name="Use the rule", exact=True).click()
    page.get_by_text("Starts at 141 s.").wait_for()
    page.locator(f"[data-answer='{rule}']:visible").wait_for()
    assert page.locator("[data-figure='k puck-A']").inner_text() == rule_k


def test_handles_move_by_keys_and_what_was_typed_outlives_a_reload(own_server, opened, tmp_path):
    page = opened(own_server, "laptop", RUN)
    handle(page, "Start").focus()
    for _ in range(4):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Shift+ArrowRight")
    assert seconds_of(handle(page, "Start")) == 155
    page.get_by_label("Why", exact=True).fill(WHY)
    page.wait_for_timeout(400)
    page.reload()
    page.get_by_text("Moved by hand: 155 s to").wait_for()
    assert page.get_by_label("Why", exact=True).input_value() == WHY
    page.get_by_role("button", name="Back to what it was").click()
    page.get_by_text("Moved by hand").wait_for(state="detached")
    assert round(seconds_of(handle(page, "Start"))) == 141


def test_the_keys_of_the_phone_move_a_handle_by_one_second(server, opened):
    page = opened(server, "phone", RUN)
    page.get_by_role("button", name="End of the steady stretch: 1 s earlier").tap()
    page.get_by_role("button", name="End of the steady stretch: 1 s earlier").tap()
    page.get_by_role("button", name="Start of the steady stretch: 1 s later").tap()
    page.get_by_text("Moved by hand: 142 s to 277 s.").wait_for()


def test_a_stretch_is_left_out_and_the_result_is_that_of_the_command_line(own_server, opened, shot, tmp_path):
    page = opened(own_server, "laptop", RUN)
    page.get_by_role("button", name="Leave out a stretch").click()
    first = page.get_by_role("slider", name="Start of what is left out")
    last = page.get_by_role("slider", name="End of what is left out")
    first.focus()
    page.keyboard.press("ArrowLeft")
    cut = seconds_of(first), seconds_of(last)
    ends = seconds_of(handle(page, "Start")), seconds_of(handle(page, "End"))
    page.get_by_label("Why", exact=True).fill(WHY)
    page.get_by_label("Who", exact=True).fill("A. Sample")
    shot(page, "run-left-out")
    page.get_by_role("button", name="Keep this stretch").click()
    page.get_by_text(re.compile("Set by hand: .*, then ")).wait_for()
    spans = (round(ends[0], 3), cut[0]), (cut[1], round(ends[1], 3))
    answered(page, decided(tmp_path, "two-a1", *spans))


def test_a_stretch_that_cannot_be_is_refused_and_the_number_stays(own_server, opened):
    page = opened(own_server, "laptop", RUN)
    page.locator("[data-answer]:visible").wait_for()
    answer = page.locator("[data-answer]:visible").get_attribute("data-answer")
    drag(page, None, "laptop", handle(page, "End"), -2000)
    page.get_by_label("Why", exact=True).fill(WHY)
    page.get_by_label("Who", exact=True).fill("A. Sample")
    page.get_by_role("button", name="Keep this stretch").click()
    page.get_by_role("alert").get_by_text("choose a longer one").wait_for()
    assert page.get_by_label("Why", exact=True).input_value() == WHY
    assert page.locator("[data-answer]:visible").get_attribute("data-answer") == answer


def test_a_run_leads_to_its_neighbours(server, opened):
    page = opened(server, "laptop", RUN)
    page.get_by_role("link", name="Run two-a2").click()
    page.get_by_role("heading", name="Run two-a2").wait_for()
    page.get_by_role("link", name="Run two-a1").click()
    page.get_by_role("heading", name="Run two-a1").wait_for()


@pytest.mark.parametrize("light", ["sun", "night"])
@BOTH
def test_a_run_is_sound_in_every_light(server, opened, sound, shot, size, light):
    page = opened(server, size, "#/trials/at/meadow%20(invented)/run/stop-ba")
    page.evaluate(
        """light => {
          const kept = JSON.parse(localStorage.getItem('haulwright.settings'));
          localStorage.setItem('haulwright.settings', JSON.stringify({...kept, light}));
        }""",
        light,
    )
    page.reload()
    page.get_by_text("Leaves out 221 s to 273 s.").wait_for()
    page.locator(".field canvas").first.wait_for()
    sound(page)
    shot(page, f"run-{light}")


def test_a_lost_laptop_leaves_the_last_number_as_stale_and_what_was_typed(own_server, opened):
    page = opened(own_server, "phone", RUN, lost=True)
    page.locator("[data-answer]:visible").wait_for()
    page.get_by_role("button", name="End of the steady stretch: 1 s earlier").tap()
    page.get_by_label("Why", exact=True).fill(WHY)
    page.get_by_label("Who", exact=True).fill("A. Sample")
    own_server.kill()
    page.get_by_role("button", name="Keep this stretch").tap()
    page.get_by_text("has not answered since").wait_for()
    assert page.get_by_label("Why", exact=True).input_value() == WHY
    assert page.locator("[data-answer]:visible").is_visible()
    own_server.start()
    # once the laptop is back, what was decided is sent by itself
    page.get_by_text(re.compile("Set by hand: ")).wait_for(timeout=30_000)


def without_unit(folder: Path) -> list[Path]:
    """The two logs of one run as a logger without a unit in its header would have written them."""
    made = []
    for place in ("line", "anchor"):
        text = (LOGS / f"meadow-two-a2_{place}.csv").read_text(encoding="utf-8")
        path = folder / f"{place} of the day.csv"
        path.write_text(text.replace(" (lbf)", ""), encoding="utf-8")
        made.append(path)
    return made


def pulled(page) -> None:
    page.get_by_label("Rig", exact=True).select_option("two-part/on-load")
    page.get_by_label("Device 1 from the drum").fill("puck-A")
    page.get_by_label("Device 1 from the drum").press("Tab")


@BOTH
def test_two_messy_logs_are_read_corrected_and_measured_as_on_the_command_line(
    own_server, opened, sound, shot, tmp_path, size
):
    page = opened(own_server, size, "#/trials/new", book="own")
    page.get_by_role("button", name="Choose logs").wait_for()
    shot(page, "run-new")
    logs = without_unit(tmp_path)
    page.set_input_files("input[type=file]", [str(log) for log in logs])
    page.get_by_role("alert").get_by_text("no unit").wait_for()
    assert page.locator("[data-answer]").count() == 0
    page.get_by_label("Forces are in").select_option("lbf")
    page.get_by_text("500 readings").wait_for()
    page.locator(".field canvas").first.wait_for()
    pulled(page)
    for place in ("line", "anchor"):
        page.get_by_role("group", name=f"Cell of the {place}").get_by_label("class").fill("0.5 %")
        page.get_by_role("group", name=f"Cell of the {place}").get_by_label("class").press("Tab")
    words = [
        "trial", "measure", *(log.name for log in logs), "--rig", "two-part", "--device", "puck-A",
        "--unit", "lbf", "--cell-class", "0.5%",
    ]  # fmt: skip
    by_line = told(tmp_path, *words)
    page.get_by_text("No class is given").first.wait_for(state="detached")
    answered(page, by_line)
    sound(page)
    shot(page, "run-alone", full=True)
    page.wait_for_timeout(300)
    page.reload()
    answered(page, by_line)
    assert page.get_by_label("Device 1 from the drum").input_value() == "puck-A"


def test_a_run_alone_is_kept_in_a_campaign_with_what_was_set_by_hand(own_server, opened, tmp_path):
    page = opened(own_server, "laptop", "#/trials/new")
    logs = without_unit(tmp_path)
    page.set_input_files("input[type=file]", [str(log) for log in logs])
    page.get_by_label("Forces are in").select_option("lbf")
    page.get_by_text("500 readings").wait_for()
    page.get_by_label("Name of the run").fill("day 3")
    page.get_by_label("Rig", exact=True).select_option("two-part/on-load")
    page.get_by_label("Device 1 from the drum").fill("hoop-B")
    page.get_by_label("Device 1 from the drum").press("Tab")
    page.locator("[data-answer]:visible").wait_for()
    handle(page, "Start").focus()
    page.keyboard.press("Shift+ArrowRight")
    page.get_by_label("Why", exact=True).fill(WHY)
    page.get_by_label("Who", exact=True).first.fill("A. Sample")
    page.get_by_role("button", name="Keep this stretch").click()
    page.get_by_text(re.compile("Set by hand: ")).wait_for()
    page.get_by_text("Keep it in a campaign").click()
    page.get_by_label("Campaign", exact=True).select_option("meadow (invented)")
    page.get_by_label("Cell of the line in that campaign").select_option("line-3t")
    page.get_by_label("Cell of the anchor in that campaign").select_option("anchor-6t")
    page.get_by_role("button", name="Keep it there").click()
    page.get_by_role("link", name="Open it there").click()
    page.get_by_role("heading", name="Run day 3").wait_for()
    page.get_by_text(re.compile("Set by hand: ")).wait_for()
    page.get_by_text(WHY).first.wait_for()


HOSTILE = {
    "binary": b"\x00\x01\xfe\xff" * 4000,
    "empty": b"",
    "half a workbook": b"PK\x03\x04" + b"\x00" * 200,
    "markup": b"<script>window.harmed = 1</script>\n<img src=x onerror='window.harmed=1'>;1\n" * 40,
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_file_is_refused_in_words_and_stays_inert(server, opened, sound, tmp_path, kind):
    page = opened(server, "laptop", "#/trials/new", book="own")
    path = tmp_path / ("day.xlsx" if kind == "half a workbook" else "day.csv")
    path.write_bytes(HOSTILE[kind])
    page.set_input_files("input[type=file]", str(path))
    page.get_by_role("alert").first.wait_for()
    assert page.locator("[data-answer]").count() == 0
    assert page.evaluate("window.harmed") is None
    sound(page)


def test_markup_in_names_and_labels_is_shown_as_text(server, opened, tmp_path):
    label = "<img src=x onerror='window.harmed=1'>"
    text = (LOGS / "meadow-two-a1.csv").read_text(encoding="utf-8").replace("Windenseil", f"line {label}")
    path = tmp_path / "day.csv"
    path.write_text(text, encoding="utf-8")
    page = opened(server, "laptop", "#/trials/new", book="own")
    page.set_input_files("input[type=file]", str(path))
    page.get_by_text(label).first.wait_for()
    page.get_by_label("Name of the run").fill("<b>bold</b>")
    pulled(page)
    page.get_by_role("heading", name="Run <b>bold</b>").wait_for()
    assert page.evaluate("window.harmed") is None
    assert page.locator("main img, h1 b").count() == 0


def hour_at_100_hz(path: Path) -> None:
    """An hour of two cells at 100 Hz: 360 000 readings each, made up."""
    import numpy as np

    random = np.random.default_rng(7)
    time = np.arange(360_000) / 100.0
    pull = np.interp(time, [0, 60, 90, 3500, 3508, 3600], [0, 0, 1, 1, 0, 0])
    swing = 1.0 + 0.1 * np.sin(time / 60.0) + 0.03 * np.sin(2.5 * time)
    line = 6.0 * pull * swing + random.normal(0.0, 0.012, time.size)
    anchor = 1.86 * 6.0 * pull * swing + random.normal(0.0, 0.02, time.size)
    rows = np.column_stack([time, line, anchor])
    np.savetxt(path, rows, fmt="%.2f;%.4f;%.4f", header="Time (s);Line (kN);Anchor (kN)", comments="")


# pans by a finger's width a frame for two seconds, from within the page, and tells the time of every frame drawn
PAN = """async () => {
  const field = document.querySelector('.field');
  const box = field.getBoundingClientRect();
  const y = box.top + 80;
  const finger = {bubbles: true, pointerId: 1, clientY: y, button: 0, isPrimary: true};
  const send = (kind, x) => field.dispatchEvent(new PointerEvent(kind, {...finger, clientX: x}));
  field.setPointerCapture = () => undefined;
  const at = [];
  const middle = box.left + box.width / 2;
  send('pointerdown', middle);
  await new Promise((done) => {
    const begin = performance.now();
    const frame = (now) => {
      at.push(now);
      send('pointermove', middle - 0.3 * box.width * Math.sin((now - begin) / 400));
      if (now - begin < 2500) requestAnimationFrame(frame);
      else done();
    };
    requestAnimationFrame(frame);
  });
  send('pointerup', middle);
  return at;
}"""


@BOTH
def test_an_hour_at_100_hz_opens_and_pans_smoothly(own_server, opened, shot, tmp_path, size, record_property):
    log = tmp_path / "hour.csv"
    hour_at_100_hz(log)
    page = opened(own_server, size, "#/trials/new", book="own")
    page.get_by_role("button", name="Choose logs").wait_for()
    page.set_input_files("input[type=file]", str(log))
    page.locator(".field canvas").first.wait_for(timeout=60_000)
    page.get_by_text(re.compile("720.000 readings")).wait_for(timeout=60_000)
    before = page.evaluate("document.querySelector('.field canvas').toDataURL()")
    for _ in range(5):
        page.get_by_role("button", name="Closer").click()
    page.wait_for_timeout(1500)
    assert page.evaluate("document.querySelector('.field canvas').toDataURL()") != before
    seen = page.evaluate("document.querySelector('.field canvas').toDataURL()")
    at = page.evaluate(PAN)
    assert page.evaluate("document.querySelector('.field canvas').toDataURL()") != seen
    steps = sorted(b - a for a, b in pairwise(at))
    rate = 1000.0 * len(steps) / (at[-1] - at[0])
    record_property("frames_per_second", round(rate, 1))
    record_property("p95_ms", round(steps[int(0.95 * len(steps))], 1))
    print(f"{size}: {rate:.0f} frames a second, p95 {steps[int(0.95 * len(steps))]:.0f} ms")
    shot(page, "run-hour")
    assert rate >= 30.0


def test_a_zero_is_set_by_hand_with_a_reason_and_taken_back(own_server, opened, sound):
    page = opened(own_server, "laptop", RUN)
    page.get_by_text("How the log was read").click()
    page.get_by_role("button", name="Set one by hand").click()
    page.get_by_label("Value").fill("2 kgf")
    page.get_by_label("Why", exact=True).fill("logger started under tension")
    page.get_by_label("Who", exact=True).fill("A. Sample")
    sound(page)
    page.get_by_role("button", name="Keep it", exact=True).click()
    page.get_by_role("heading", name="Decided by hand").wait_for()
    page.get_by_text("logger started under tension").first.wait_for()
    page.get_by_role("button", name="Set one by hand").click()
    page.get_by_label("Why", exact=True).fill("read it twice")
    page.get_by_role("button", name="Take it back").click()
    page.get_by_role("heading", name="Decided by hand").wait_for(state="detached")


def test_a_run_is_left_out_of_the_results_and_taken_in_again(own_server, opened):
    page = opened(own_server, "laptop", RUN)
    page.get_by_role("button", name="Leave this run out of the results").click()
    page.get_by_label("Why", exact=True).fill("line crossed under the ring")
    page.get_by_label("Who", exact=True).fill("A. Sample")
    page.get_by_role("button", name="Leave it out").click()
    page.get_by_text("Left out of the results.").wait_for()
    assert page.locator("[data-answer]:visible").count() == 0
    page.get_by_role("button", name="Take this run into the results again").click()
    page.get_by_label("Why", exact=True).fill("it was another run")
    page.get_by_role("button", name="Take it in again").click()
    page.locator("[data-answer]:visible").wait_for()


def exchanged(folder: Path) -> Path:
    """One log whose labels of line and anchor stand at the wrong columns."""
    text = (LOGS / "meadow-two-a1.csv").read_text(encoding="utf-8")
    path = folder / "exchanged.csv"
    path.write_text(
        text.replace("Windenseil [kN];Ankerpunkt [kN]", "Ankerpunkt [kN];Windenseil [kN]"), encoding="utf-8"
    )
    return path


@BOTH
def test_exchanged_labels_are_told_and_put_right_in_one_tap(own_server, opened, sound, tmp_path, size):
    page = opened(own_server, size, "#/trials/new", book="own")
    log = exchanged(tmp_path)
    page.set_input_files("input[type=file]", [str(log)])
    pulled(page)
    page.get_by_text(re.compile("Exchanged the two cells would fit")).wait_for()
    assert page.locator("[data-answer]").count() == 0
    page.get_by_role("button", name="The other way round").click()
    for place in ("line", "anchor"):
        page.get_by_role("group", name=f"Cell of the {place}").get_by_label("class").fill("0.5 %")
        page.get_by_role("group", name=f"Cell of the {place}").get_by_label("class").press("Tab")
    page.get_by_text("No class is given").first.wait_for(state="detached")
    words = [
        "--rig",
        "two-part",
        "--device",
        "puck-A",
        "--line",
        "2",
        "--anchor",
        "3",
        "--cell-class",
        "0.5%",
    ]
    answered(page, told(tmp_path, "trial", "measure", log.name, *words))
    sound(page)


def test_what_is_no_log_is_said_once_and_without_the_words_of_the_command_line(own_server, opened, tmp_path):
    page = opened(own_server, "phone", "#/trials/new", book="own")
    bare = tmp_path / "bare.csv"
    bare.write_text(
        "\n".join(f"{n / 10:.1f};{n / 5:.1f}" for n in (3, 1, 4, 1, 5, 9, 2, 6, 5, 3) * 40), encoding="utf-8"
    )
    page.set_input_files("input[type=file]", [str(bare)])
    pulled(page)
    page.get_by_role("alert").get_by_text(re.compile("no column of time")).wait_for()
    page.wait_for_load_state("networkidle")
    assert page.get_by_role("alert").count() == 1
    assert "--" not in page.get_by_role("alert").inner_text()
