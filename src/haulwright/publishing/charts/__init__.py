"""Charts: one run over time, what a campaign found side by side, a pull along its travel, its winch."""

from haulwright.publishing.charts.campaign_rows import (
    agreement_chart,
    budget_chart,
    friction_chart,
    prediction_chart,
)
from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.charts.comparison import (
    comparison_chart,
    efficiency_loss_chart,
    winch_share_chart,
)
from haulwright.publishing.charts.friction_load import friction_load_chart
from haulwright.publishing.charts.pull_rows import drum_layers_chart, parts_chart
from haulwright.publishing.charts.pull_steps import pull_steps_chart
from haulwright.publishing.charts.trace import trace_chart

__all__ = [
    "Chart",
    "agreement_chart",
    "budget_chart",
    "comparison_chart",
    "drum_layers_chart",
    "efficiency_loss_chart",
    "friction_chart",
    "friction_load_chart",
    "parts_chart",
    "prediction_chart",
    "pull_steps_chart",
    "trace_chart",
    "winch_share_chart",
]
