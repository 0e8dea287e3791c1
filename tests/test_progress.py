"""Words about long work: shares within a part of it, nobody listening, and every long verb tells its steps in order."""

import shutil
from pathlib import Path

import pytest

from haulwright import workflows
from haulwright.progress import Step, share_of, silent, within

EXAMPLES = Path(__file__).resolve().parents[1] / "examples"
PULL = EXAMPLES / "pulls" / "rutted-clearing.yaml"
LOG = EXAMPLES / "campaign" / "logs" / "meadow-two-a1.csv"


def test_a_share_beyond_the_work_is_taken_as_its_end():
    assert [Step("x", share).share for share in (-0.5, 0.0, 1.0, 7.0)] == [0.0, 0.0, 1.0, 1.0]


def test_words_alone_pass_through_a_part_as_they_are():
    said = []
    tell = within(said.append, 0.25, 0.75)
    tell("words alone")
    tell(Step("half of the part", 0.5))
    assert said == ["words alone", "half of the part"]
    assert [share_of(words) for words in said] == [None, 0.5]


def test_parts_of_parts():
    said = []
    within(within(said.append, 0.5, 1.0), 0.0, 0.5)(Step("end of the third quarter", 1.0))
    assert share_of(said[0]) == 0.75


def test_nobody_need_listen():
    assert within(None, 0.0, 0.5) is silent
    silent(Step("unheard", 0.5))


@pytest.fixture(scope="module")
def campaign(tmp_path_factory):
    folder = tmp_path_factory.mktemp("campaign") / "meadow"
    shutil.copytree(EXAMPLES / "campaign", folder, ignore=shutil.ignore_patterns("results"))
    return folder


def report(folder, progress, out):
    result = workflows.kept_campaign(folder)
    return workflows.publish_report(result, out, progress=progress)


LONG = {
    "plan": lambda folder, tell, out: workflows.make_plan(PULL, progress=tell),
    "steps": lambda folder, tell, out: workflows.step_pull(PULL, progress=tell),
    "readings": lambda folder, tell, out: workflows.check_readings(
        PULL, line="1.5 kN", anchor="2.6 kN", rig="two-part/on-load, oak", progress=tell
    ),
    "log read": lambda folder, tell, out: workflows.read_trial([LOG], progress=tell),
    "run measured": lambda folder, tell, out: workflows.measure_trial(LOG, rig="two-part", progress=tell),
    "campaign": lambda folder, tell, out: workflows.kept_campaign(folder, progress=tell),
    "report": report,
}


@pytest.mark.parametrize("verb", LONG)
def test_a_long_verb_tells_steps_that_only_go_on(verb, campaign, tmp_path):
    said = []
    LONG[verb](campaign, said.append, tmp_path)
    shares = [share for words in said if (share := share_of(words)) is not None]
    assert shares, said
    assert shares == sorted(shares)
    assert all(words and words == words.strip() for words in said)
    assert not any(str(campaign) in words for words in said)  # they are shown to whoever asks


def test_a_campaign_tells_each_run_with_what_is_done_before_it(tmp_path):
    folder = shutil.copytree(
        EXAMPLES / "campaign", tmp_path / "meadow", ignore=shutil.ignore_patterns("results")
    )
    said = []
    workflows.check_campaign(folder, progress=said.append)
    runs = [words for words in said if words.startswith("run ")]
    assert [words.split(":")[0] for words in runs] == [f"run {n} of 8" for n in range(1, 9)]
    assert [words.share for words in runs] == [n / 8 for n in range(8)]
