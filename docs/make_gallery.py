"""Write ``docs/gallery.md`` and its pictures from the shipped, invented examples: ``python docs/make_gallery.py``."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from PIL import Image

from haulwright import workflows
from haulwright.publishing.chart_files import OF_CAMPAIGN, OF_PULL

ROOT = Path(__file__).resolve().parents[1]
PAGE, PICTURES = ROOT / "docs" / "gallery.md", ROOT / "docs" / "img" / "gallery"
CAMPAIGN, PULL = "examples/campaign", "examples/pulls/rutted-clearing.yaml"
RUN = "two-a1"
COLOURS = 24  # of a picture of inks on paper: a fifth of the size, and no difference to be seen
HEAD = """# Gallery of charts

Every chart there is, from the shipped examples, which are invented. Each comes as SVG and PNG, for paper, sun, night
and print, for laptop, phone or video. This page and its pictures are written by `python docs/make_gallery.py`.

```text
haulwright publish chart FOLDER_OR_PULL --chart NAME --light night --size video --units kgf
```
"""
TITLES = {
    "comparison": "Advantage by rig and devices",
    "winch-share": "Winch share",
    "efficiency-loss": "Efficiency loss",
    "friction": "Friction of each device",
    "friction-load": "Friction against load",
    "agreement": "Agreement of repeats",
    "prediction": "Predicted against measured",
    f"trace-{RUN}": "Trace of a run",
    f"budget-{RUN}": "Budget of uncertainty of a run",
    "pull-plan": "A pull on the ground",
    "pull-steps": "A pull along its travel",
    "drum-layers": "Line pull on each drum layer",
    "parts": "The same load with more parts",
}
TELLS = {
    "comparison": "Mean with its 95 % interval, the single runs, and what the rig would give without friction.",
    "winch-share": "What the winch feels of the load, from zero, so that lengths can be compared.",
    "efficiency-loss": "What friction takes of the frictionless advantage.",
    "friction": "Tension ratio of one pass, from all runs together and from runs of one device alone.",
    "friction-load": "The same over the line tensions it was tested at; outside them nothing is known.",
    "agreement": "How far repeats lie from their mean, beside the scatter that is reckoned with.",
    "prediction": "Each configuration as the others foretell it: an honest test of the friction found.",
    f"trace-{RUN}": "Both cells over time, phases named, the steady stretch marked with its reasons.",
    f"budget-{RUN}": "What the uncertainty is made of, the greatest first.",
    "pull-plan": "The chosen rig with likely and stall of every part, the ground where nobody stands.",
    "pull-steps": "Line pull needed against what the winch has on each layer, side pull, current.",
    "drum-layers": "Less pull on every layer; gear is judged at stall on the lowest one met.",
    "parts": "More parts: less line pull and current, more time, hardly less charge.",
}


class Picture(NamedTuple):
    """A chart of the gallery: its name, the option that asks for it, and what it is drawn from."""

    name: str
    chart: str
    source: str


def pictures() -> Iterator[Picture]:
    """Yield every chart there is, those of a run for one run."""
    for chart in OF_CAMPAIGN:
        yield Picture(chart, chart, CAMPAIGN)
    for chart in ("trace", "budget"):
        yield Picture(f"{chart}-{RUN}", chart, CAMPAIGN)
    for chart in OF_PULL:
        yield Picture(chart, chart, PULL)


def page() -> str:
    """Return the text of the page."""
    parts = [HEAD]
    for one in pictures():
        parts.append(
            f"## {TITLES[one.name]}\n\n![{TITLES[one.name]}; invented data](img/gallery/{one.name}.png)\n\n"
            f"{TELLS[one.name]}\n\n"
            f"`haulwright publish chart {one.source} --chart {one.chart}`\n"
        )
    return "\n".join(parts)


def main() -> None:
    """Write page and pictures."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    for old in PICTURES.iterdir():
        old.unlink()
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder)
        workflows.publish_charts(workflows.measure_campaign(ROOT / CAMPAIGN), out)
        workflows.publish_pull(ROOT / PULL, out)
        for one in pictures():
            whole = Image.open(out / f"{one.name}.png").convert("RGB")
            half = whole.resize((whole.width * 2 // 3, whole.height * 2 // 3), Image.Resampling.LANCZOS)
            half.quantize(COLOURS).save(PICTURES / f"{one.name}.png", optimize=True)
    PAGE.write_text(page(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
