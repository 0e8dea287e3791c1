"""A campaign before its day: run sheet, what it will tell, how many pulls it takes, and a rehearsal."""

from haulwright.trials.design.expected import Expected, expected_errors
from haulwright.trials.design.make import design_campaign
from haulwright.trials.design.power import power_of_difference, power_of_equivalence
from haulwright.trials.design.rehearse import rehearse
from haulwright.trials.design.result import CampaignDesign, CampaignRehearsal
from haulwright.trials.design.sheet import configurations_of, make_sheet

__all__ = [
    "CampaignDesign",
    "CampaignRehearsal",
    "Expected",
    "configurations_of",
    "design_campaign",
    "expected_errors",
    "make_sheet",
    "power_of_difference",
    "power_of_equivalence",
    "rehearse",
]
