"""Charts: one run over time, the configurations of a campaign side by side, a pull along its travel."""

from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.charts.comparison import comparison_chart
from haulwright.publishing.charts.pull_steps import pull_steps_chart
from haulwright.publishing.charts.trace import trace_chart

__all__ = ["Chart", "comparison_chart", "pull_steps_chart", "trace_chart"]
