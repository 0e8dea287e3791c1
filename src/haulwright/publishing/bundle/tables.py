"""The tables of a campaign's open data, each written from its record; nothing is reckoned."""

from __future__ import annotations

from haulwright.publishing.bundle.fields import Table, listed, measured, number, of, whole, words
from haulwright.trials.result import CampaignResult

_RUN = words("run", "name of the run, as in campaign/runs.csv")
_RIG = words("rig", "rig as the run sheet calls it")
_DEVICES = words("devices", "devices from the drum, parted by semicolons")
_ADVANTAGE = measured("advantage", "1", "load ÷ effort reached")
_SHARE = measured("winch_share", "1", "effort ÷ load, a fraction")
_IDEAL = number("frictionless", "1", "advantage without friction")


def tables_of(campaign: CampaignResult) -> tuple[Table, ...]:
    """Return every table of a campaign, in a fixed order."""
    return (
        _runs(campaign),
        _means(campaign),
        _stretches(campaign),
        _budget(campaign),
        _logs(campaign),
        _configurations(campaign),
        _devices(campaign),
        _comparisons(campaign),
        _cells(campaign),
        _excluded(campaign),
        _notices(campaign),
    )


def _runs(campaign: CampaignResult) -> Table:
    fields = (
        _RUN,
        _RIG,
        words("path", "the rig in short notation, drum first; empty for a rig of a file"),
        _DEVICES,
        words("grade", "logged, or typed for forces read off the displays"),
        _IDEAL,
        *measured("ratio", "1", "mean of the anchor ÷ mean of the line, as read"),
        *measured(
            "gain", "1", "gain of the anchor cell ÷ that of the line cell, taken off; empty where none was"
        ),
        *_ADVANTAGE,
        number(
            "advantage_u_repeatability",
            "1",
            "standard uncertainty of the advantage against runs with the same cells",
        ),
        number(
            "repeatability_low95", "1", "lower end of the 95 % interval of the advantage against such runs"
        ),
        number("repeatability_high95", "1", "upper end of that interval"),
        *_SHARE,
    )
    rows = tuple(
        (
            *(run.run, run.rig, run.path, listed(run.devices), run.grade, run.frictionless),
            *of(run.ratio),
            *of(run.gain),
            *of(run.advantage),
            run.u_repeatability,
            *run.interval95_repeatability,
            *of(run.winch_share),
        )
        for run in campaign.runs
    )
    return Table("runs", "Every measured run", fields, rows, key=("run",))


def _means(campaign: CampaignResult) -> Table:
    fields = (
        _RUN,
        words("place", "place of the cell in the rig: line, anchor, or another place of the rig"),
        words("cell", "load cell, as in campaign/campaign.yaml"),
        words("unit_read", "unit in the log, or on the display"),
        number("rate_Hz", "Hz", "readings a second, from the median step; 0 for typed forces"),
        whole("readings", "1", "readings used"),
        whole("gaps", "1", "silences longer than 2.6 periods"),
        *measured("clock_offset_s", "s", "stamp of this channel minus stamp of the line of the same instant"),
        *measured("zero_N", "N", "zero that was taken off; empty where none was"),
        *measured("mean_N", "N", "mean force over the steady stretches, zero taken off"),
    )
    rows = tuple(
        (
            *(run.run, place, one.cell, one.unit_read, one.rate_Hz, one.n, one.gaps),
            *of(one.clock_offset_s),
            *of(one.zero_N),
            *of(run.mean_N.get(place)),
        )
        for run in campaign.runs
        for place, one in run.channels.items()
    )
    return Table("means", "Every channel of every run, with its mean", fields, rows, ("run", "place"), True)


def _stretches(campaign: CampaignResult) -> Table:
    fields = (
        _RUN,
        number("start_s", "s", "where averaging begins, on the clock of the line's log"),
        number("end_s", "s", "where it ends"),
        words("chosen_by", "rule, or who set it by hand"),
        words("why", "why there"),
    )
    rows = tuple(
        (run.run, one.start_s, one.end_s, one.chosen_by, one.why)
        for run in campaign.runs
        for one in run.steady
    )
    return Table("stretches", "What was averaged of every run", fields, rows, ("run", "start_s"), True)


def _budget(campaign: CampaignResult) -> Table:
    fields = (
        _RUN,
        words("term", "what the uncertainty comes from"),
        number("u", "1", "its standard uncertainty in the advantage of the run"),
        number("share", "1", "its share of the variance"),
    )
    rows = tuple((run.run, one.term, one.u, one.share) for run in campaign.runs for one in run.budget)
    return Table("budget", "Uncertainty budget of every run", fields, rows, ("run", "term"), True)


def _logs(campaign: CampaignResult) -> Table:
    fields = (
        _RUN,
        words("path", "log of the run, within the folder campaign/"),
        words("sha256", "SHA-256 of its bytes"),
    )
    rows = tuple(
        (run.run, file.get("path", ""), file.get("sha256", "")) for run in campaign.runs for file in run.files
    )
    return Table("logs", "Which log belongs to which run", fields, rows, ("run", "path"), True)


def _configurations(campaign: CampaignResult) -> Table:
    fields = (
        _RIG,
        _DEVICES,
        whole("n", "1", "number of runs"),
        words("runs", "their names, parted by semicolons"),
        _IDEAL,
        *_ADVANTAGE,
        *_SHARE,
        number("between_run_sd", "1", "scatter of the advantage between runs that is reckoned with"),
    )
    rows = tuple(
        (
            *(one.rig, listed(one.devices), one.n, listed(one.runs), one.frictionless),
            *of(one.advantage),
            *of(one.winch_share),
            one.between_run_sd,
        )
        for one in campaign.configurations
    )
    return Table("configurations", "Repeats of one rig with the same devices together", fields, rows)


def _devices(campaign: CampaignResult) -> Table:
    fields = (
        words("device", "name of the device, as in campaign/campaign.yaml"),
        *measured("k", "1", "tension ratio of one 180° pass, haul side ÷ other side"),
        *measured("efficiency", "1", "1 ÷ k"),
        number("valid_from_N", "N", "least line force it was tested at"),
        number("valid_to_N", "N", "greatest line force it was tested at"),
        *measured(
            "load_exponent",
            "1",
            "b of k − 1 = (k(T0) − 1) (T/T0)^−b; empty where no change with the load was seen",
        ),
        number("at_N", "N", "T0, the line force k holds at; empty where k does not change"),
    )
    rows = tuple(
        (
            name,
            *of(one.k),
            *of(one.efficiency),
            *(one.valid_N or (None, None)),
            *of(one.load_exponent),
            one.at_N,
        )
        for name, one in campaign.devices.items()
    )
    return Table("devices", "Friction of every device", fields, rows, ("device",))


def _comparisons(campaign: CampaignResult) -> Table:
    fields = (
        words("a", "one configuration"),
        words("b", "another of the same rig"),
        *measured("ratio", "1", "advantage of a ÷ advantage of b"),
        words(
            "verdict", "different, equivalent, small_but_real or undecided; by Holm and two one-sided tests"
        ),
        number("margin", "1", "relative difference that was said beforehand not to matter"),
        whole("runs_needed", "1", "runs of each still needed for a verdict; 0 when decided"),
        words("evidence", "how thin the evidence is; empty where it is not"),
    )
    rows = tuple(
        (one.a, one.b, *of(one.ratio), one.verdict, one.margin, one.runs_needed, one.evidence)
        for one in campaign.comparisons
    )
    return Table("comparisons", "Which configurations differ", fields, rows, ("a", "b"))


def _cells(campaign: CampaignResult) -> Table:
    fields = (
        words("cell", "load cell, with its day where it has a gain for each day"),
        *measured("gain", "1", "gain against the line cell"),
        *measured("zero_N", "N", "mean zero over the runs, with its scatter"),
    )
    rows = tuple((name, *of(one.gain), *of(one.zero_N)) for name, one in campaign.cells.items())
    return Table("cells", "What the runs tell of the load cells", fields, rows, ("cell",))


def _excluded(campaign: CampaignResult) -> Table:
    fields = (
        words("run", "run that is not in the results"),
        words("why", "the reason"),
        words("who", "who decided; empty where the run itself gave no number"),
        words("when", "when"),
    )
    rows = tuple(
        tuple(str(one.get(key, "")) for key in ("run", "why", "who", "when")) for one in campaign.excluded
    )
    return Table("excluded", "Runs that are not in the results", fields, rows, ("run",))


def _notices(campaign: CampaignResult) -> Table:
    fields = (
        words("of", "run, or campaign"),
        words("level", "caution, warning or info"),
        words("code", "name of the notice"),
        words("message", "what is to be known"),
    )
    told = [("campaign", campaign.notices), *((run.run, run.notices) for run in campaign.runs)]
    rows = tuple((of_, one.level, one.code, one.message) for of_, notices in told for one in notices)
    return Table("notices", "Everything that is to be known of the runs", fields, rows)
