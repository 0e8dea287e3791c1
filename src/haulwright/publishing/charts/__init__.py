"""Charts of trials: one run over time, and the configurations of a campaign side by side."""

from haulwright.publishing.charts.canvas import Chart
from haulwright.publishing.charts.comparison import comparison_chart
from haulwright.publishing.charts.trace import trace_chart

__all__ = ["Chart", "comparison_chart", "trace_chart"]
