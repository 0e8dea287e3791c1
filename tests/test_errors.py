"""A refusal crosses a pool of processes whole: a campaign measured side by side must hear why a run was refused."""

import pickle

import pytest

from haulwright import errors

KINDS = [
    kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, errors.Refusal)
]


@pytest.mark.parametrize("kind", KINDS)
def test_a_refusal_survives_pickling(kind):
    refusal = kind("INPUT", "mass = -1 kg: give a mass above 0.", ("mass",), 3)
    again = pickle.loads(pickle.dumps(refusal))
    assert type(again) is kind
    assert (again.code, again.message, again.where, again.line) == ("INPUT", str(refusal), ("mass",), 3)
