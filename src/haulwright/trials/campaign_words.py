"""What stands beside the results of a campaign: its standing notices and what ``campaign.yaml`` says of it."""

from __future__ import annotations

from haulwright.files.campaign import CampaignFolder, CellSpec
from haulwright.notices import Code, Notice
from haulwright.quantities.units import show


def standing_notices(folder: CampaignFolder) -> list[Notice]:
    """Return the notices that always stand, and those on the cells' calibration."""
    notices = [Code.INVENTED.notice()] if folder.spec.invented else []
    notices += [Code.TESTED_ONLY.notice(), Code.DEFER.notice(), Code.NO_PEAKS.notice()]
    for name, cell in folder.spec.cells.items():
        late = [
            e.run
            for e in folder.runs
            if cell.due and e.date and e.date > cell.due and name in {c.cell for c in e.channels.values()}
        ]
        if late:
            text = f"The calibration of {name} ran out on {cell.due}: run {', '.join(late)} came after it."
            if cell.expanded and cell.class_:
                text += " Its class counts there, not the certificate."
            notices.append(Code.UNCHECKED.notice((name, *late), text=text))
    if folder.unread:
        text = f"Kept as notes of the runs, nothing is computed with them: {', '.join(folder.unread)} (runs.csv)."
        notices.append(Code.ADVICE.notice(folder.unread, text=text))
    return notices


def about(folder: CampaignFolder) -> dict[str, str]:
    """Return what the report says of the campaign, as given."""
    spec = folder.spec
    days = sorted({entry.date.isoformat() for entry in folder.runs if entry.date})
    told = {key: str(value) for key, value in spec.report.model_dump().items() if value}
    told["site"] = "; ".join(
        f"{key} {value}" if key != "place" else value for key, value in spec.site.items()
    )
    told["date"] = " to ".join(dict.fromkeys((days[0], days[-1]))) if days else ""
    told["margin"] = f"{100.0 * spec.margin:g} %"
    for name, device in spec.devices.items():
        told[f"device {name}"] = _words(
            device.kind, device.description, device.condition, f"rope {device.rope}" if device.rope else ""
        )
    for name, rope in spec.ropes.items():
        told[f"rope {name}"] = _words(rope.material, show(rope.diameter, "mm"), rope.condition)
    for name, cell in spec.cells.items():
        certificate = f"certificate {cell.certificate}" if cell.certificate else ""
        due = f"due {cell.due}" if cell.due else ""
        told[f"cell {name}"] = _words(*_limits(cell), certificate, due)
    if spec.invented:
        told["invented"] = "yes"
    return told


def _limits(cell: CellSpec) -> tuple[str, ...]:
    """Return what is known of a cell's error."""
    class_ = "" if cell.class_ is None else f"class {100.0 * cell.class_:g} % of {cell.class_of}"
    factor = "" if cell.factor == 1.0 else f"factor {cell.factor:g}"
    expanded = "" if cell.expanded is None else f"expanded uncertainty {100.0 * cell.expanded:g} % of reading"
    return class_, factor, expanded


def _words(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
