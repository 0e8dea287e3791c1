"""Whatever is asked, each route answers what its description says: generated questions, right and wrong.

The generator is Schemathesis, from the OpenAPI description alone. ``HAULWRIGHT_WEB_EXAMPLES=200`` asks for longer.
"""

import os
import tempfile
from pathlib import Path

import pytest
import schemathesis
from hypothesis import HealthCheck, Phase, settings
from schemathesis.config import SchemathesisConfig

from haulwright.interfaces.web.app import create_app
from haulwright.interfaces.web.settings import Settings
from haulwright.interfaces.web.work.processes import AtOnce

OWN = {"Host": "127.0.0.1"}
# a text of the right form can still be no rig: 422 with its reason is an answer to it
CONFIG = SchemathesisConfig.from_dict(
    {"checks": {"positive_data_acceptance": {"expected-statuses": ["2xx", "404", "409", "422"]}}}
)
ROOM = tempfile.TemporaryDirectory(prefix="haulwright-asked-")  # what is put into the book stays there
APP = create_app(Settings(book=str(Path(ROOM.name, "asked.sqlite"))), AtOnce())
SCHEMA = schemathesis.openapi.from_asgi("/api/openapi.json", APP, config=CONFIG, headers=OWN)
EXAMPLES = int(os.environ.get("HAULWRIGHT_WEB_EXAMPLES", "6"))


@pytest.fixture(autouse=True, scope="module")
def _stopped_after():
    yield
    schemathesis.python.asgi.shutdown_lifespans()
    ROOM.cleanup()


@SCHEMA.parametrize()
@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    database=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_a_route_keeps_to_its_description(case):
    case.call_and_validate(headers=OWN)
