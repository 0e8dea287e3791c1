"""Options stated once: every command that takes a group has each of them, with the same words, and passes it on."""

import inspect
from dataclasses import fields

import pytest
import typer

from haulwright import workflows
from haulwright.errors import FileRefusal
from haulwright.interfaces.cli.campaign import Sheet, design, simulate
from haulwright.interfaces.cli.main import app, main
from haulwright.interfaces.cli.trial import LogFormat, measure, read

PAIRS = [(LogFormat, read, measure), (Sheet, design, simulate)]


@pytest.mark.parametrize(("group", "one", "other"), PAIRS)
def test_both_commands_have_every_option_of_the_group(group, one, other):
    for command in (one, other):
        taken = inspect.signature(command).parameters
        assert {field.name for field in fields(group)} <= set(taken)
        assert not [name for name, p in taken.items() if p.annotation is group]


def help_of(*words):
    command = typer.main.get_command(app)
    for word in words:
        command = command.commands[word]
    return {
        option.name: (option.opts, option.help, option.default)
        for option in command.params
        if hasattr(option, "help")
    }


def test_the_library_sees_them_with_the_same_words():
    one, other = help_of("trial", "read"), help_of("trial", "measure")
    for name in (field.name for field in fields(LogFormat)):
        assert one[name] == other[name]
        assert one[name][1]


def test_each_is_passed_on(monkeypatch, capsys):
    seen = []

    def read_trial(logs, **choices):
        seen.append(choices)
        raise FileRefusal("NO_FILE", "not looked at", ())

    monkeypatch.setattr(workflows, "read_trial", read_trial)
    given = {
        "line": "A", "anchor": "B", "unit": "kgf", "dates": "day-first", "time": "t", "clock": "ms", "separator": "tab",
        "decimal": "comma", "encoding": "cp1252", "sheet": "2", "zone": "UTC",
    }  # fmt: skip
    assert set(given) == {field.name for field in fields(LogFormat)}
    words = [word for name, text in given.items() for word in (f"--{name}", text)]
    assert main(["trial", "read", "a.csv", *words]) == 2
    assert sorted(seen[0].values()) == sorted(given.values())
    assert (seen[0]["line_column"], seen[0]["date_order"], seen[0]["zone"]) == ("A", "day-first", "UTC")
    assert main(["trial", "read", "a.csv"]) == 2
    assert set(seen[1].values()) == {None}
    capsys.readouterr()
