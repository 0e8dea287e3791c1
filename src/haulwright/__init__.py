"""Haulwright: measure, model, plan and publish winch recovery.

>>> import haulwright as hw
>>> solution = hw.solve_rig("!truck.drum > tree > truck", ratio=1.2, load="20 kN")
>>> round(solution.advantage, 4), round(solution.effort_N["winch"])
(1.8333, 10909)

Every verb also takes plain mappings, so a caller needs no files. Names are imported when first used, so that
``import haulwright`` costs nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from haulwright.errors import HaulwrightError, Refusal
from haulwright.quantities.measured import Measured
from haulwright.version import __version__

if TYPE_CHECKING:
    from haulwright.workflows import (
        backup_book,
        check_readings,
        draw_rig,
        estimate_resistance,
        export_book,
        find_tackles,
        import_to_book,
        list_rigs,
        make_plan,
        measure_campaign,
        measure_trial,
        new_book,
        predict_campaign,
        publish_bundle,
        publish_card,
        publish_charts,
        publish_pull,
        publish_report,
        publish_workbook,
        published_check,
        read_rig,
        read_trial,
        recompute_bundle,
        record_seen,
        show_book,
        show_kit,
        solve_rig,
        step_pull,
        write_devices,
        write_results,
    )

__all__ = [
    "HaulwrightError",
    "Measured",
    "Refusal",
    "__version__",
    "backup_book",
    "check_readings",
    "draw_rig",
    "estimate_resistance",
    "export_book",
    "find_tackles",
    "import_to_book",
    "list_rigs",
    "make_plan",
    "measure_campaign",
    "measure_trial",
    "new_book",
    "predict_campaign",
    "publish_bundle",
    "publish_card",
    "publish_charts",
    "publish_pull",
    "publish_report",
    "publish_workbook",
    "published_check",
    "read_rig",
    "read_trial",
    "recompute_bundle",
    "record_seen",
    "show_book",
    "show_kit",
    "solve_rig",
    "step_pull",
    "write_devices",
    "write_results",
]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module 'haulwright' has no attribute {name!r}")
    from haulwright import workflows

    return getattr(workflows, name)


def __dir__() -> list[str]:
    return sorted(__all__)
