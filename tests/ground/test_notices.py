"""Notices: every code is its own, its level is one of three, and its sentence fills in."""

import string

import pytest

from haulwright.notices import Code, Level, Notice


def test_no_two_codes_are_one():
    assert len({code.name for code in Code}) == len(Code.__members__)


@pytest.mark.parametrize("code", list(Code), ids=lambda code: code.name)
def test_every_code_makes_a_notice_of_its_name_and_level(code):
    words = {name: "something" for _, name, _, _ in string.Formatter().parse(code.sentence) if name}
    notice = code.notice(("here",), **words)
    assert notice == Notice(code.name, code.level.value, notice.message, ("here",))
    assert notice.level in {level.value for level in Level}
    assert "{" not in notice.message
