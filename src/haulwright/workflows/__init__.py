"""The verbs: everything an interface or a script can ask for. The only place where branches meet.

Heavy libraries are imported inside the verb that needs them, so that a script that only solves rigs starts at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from haulwright.kept.examples import examples
from haulwright.publishing.output import Files
from haulwright.workflows.books import (
    backup_book,
    book_exit_code,
    export_book,
    import_to_book,
    new_book,
    show_book,
)
from haulwright.workflows.bundles import publish_bundle, recompute_bundle, recompute_exit_code
from haulwright.workflows.campaign_runs import show_run, trace_run, try_run
from haulwright.workflows.campaigns import (
    check_campaign,
    check_exit_code,
    kept_campaign,
    measure_campaign,
    overview_campaign,
    predict_campaign,
    write_devices,
    write_results,
)
from haulwright.workflows.designs import design_campaign, sheet_of_design, simulate_campaign, write_design
from haulwright.workflows.given import Given
from haulwright.workflows.house import Demo, demo, published_check
from haulwright.workflows.kits import kit_exit_code, list_kit_kinds, publish_inspection_sheet, show_kit
from haulwright.workflows.papers import (
    publish_card,
    publish_chart,
    publish_charts,
    publish_report,
    publish_run_sheet,
)
from haulwright.workflows.plan_pages import plan_rig, plan_sheet, publish_pull
from haulwright.workflows.plans import (
    check_readings,
    list_pull_kinds,
    make_plan,
    offered_tackles,
    plan_exit_code,
    plan_pull,
    readings_exit_code,
    step_pull,
    write_plan,
)
from haulwright.workflows.pocket import pocket_card, publish_pocket_card
from haulwright.workflows.rig_pages import (
    draw_rig,
    file_rig,
    lay_out_rig,
    rig_of_text,
    show_rig,
    stated_stall,
)
from haulwright.workflows.rigs import (
    find_tackles,
    list_rigs,
    list_sheaves,
    read_rig,
    rig_in_words,
    solve_at_stall,
    solve_rig,
    with_stall,
)
from haulwright.workflows.runs import measure_trial, read_trial, show_trial, trace_trial
from haulwright.workflows.stuck import estimate_resistance, record_seen
from haulwright.workflows.teaching import make_problems, publish_problems
from haulwright.workflows.workbooks import publish_workbook

if TYPE_CHECKING:  # the records are named here for the interfaces, which know no other layer
    from haulwright.book.result import BookImport as BookImport
    from haulwright.book.result import BookState as BookState
    from haulwright.book.result import DueDate as DueDate
    from haulwright.book.result import KeptDocument as KeptDocument
    from haulwright.checking import PublishedCheck as PublishedCheck
    from haulwright.checking.recomputed import Recomputed as Recomputed
    from haulwright.field.result import Resistance as Resistance
    from haulwright.field.result import ResistanceRule as ResistanceRule
    from haulwright.files.campaign import CampaignFolder as CampaignFolder
    from haulwright.files.pull import Pull as Pull
    from haulwright.files.rig_file import RigFile as RigFile
    from haulwright.files.runsheet import RunEntry as RunEntry
    from haulwright.mechanics.batch.find import TackleList as TackleList
    from haulwright.mechanics.rig import Rig as Rig
    from haulwright.mechanics.rig_list import RigList as RigList
    from haulwright.mechanics.sheave_list import SheaveList as SheaveList
    from haulwright.mechanics.solution import BodySolution as BodySolution
    from haulwright.mechanics.solution import RigSolution as RigSolution
    from haulwright.mechanics.statics import Ratio as Ratio
    from haulwright.planning.found import Planned as Planned
    from haulwright.planning.kit_result import KitCheck as KitCheck
    from haulwright.planning.kit_result import KitItem as KitItem
    from haulwright.planning.kit_result import KitKinds as KitKinds
    from haulwright.planning.kit_result import KitPull as KitPull
    from haulwright.planning.kit_result import KitUse as KitUse
    from haulwright.planning.pull_kinds import PullKinds as PullKinds
    from haulwright.planning.pull_result import PullStep as PullStep
    from haulwright.planning.pull_result import PullSteps as PullSteps
    from haulwright.planning.readings import ReadingsCheck as ReadingsCheck
    from haulwright.planning.result import Candidate as Candidate
    from haulwright.planning.result import Plan as Plan
    from haulwright.planning.seen import PullSeen as PullSeen
    from haulwright.planning.sibling_result import ManualStep as ManualStep
    from haulwright.planning.tackles import Tackles as Tackles
    from haulwright.publishing.diagram.pull_page import PlanSheet as PlanSheet
    from haulwright.publishing.diagram.pull_words import DrawnPull as DrawnPull
    from haulwright.publishing.overview_record import CampaignOverview as CampaignOverview
    from haulwright.publishing.pocket.record import PocketCard as PocketCard
    from haulwright.publishing.problem_record import ProblemSheet as ProblemSheet
    from haulwright.publishing.rig_page import RigSheet as RigSheet
    from haulwright.publishing.rig_page import SheetChoices as SheetChoices
    from haulwright.publishing.run_view_record import RunView as RunView
    from haulwright.trials.design.result import CampaignDesign as CampaignDesign
    from haulwright.trials.design.result import CampaignRehearsal as CampaignRehearsal
    from haulwright.trials.predict import Prediction as Prediction
    from haulwright.trials.result import CampaignCheck as CampaignCheck
    from haulwright.trials.result import CampaignResult as CampaignResult
    from haulwright.trials.result import LogRecord as LogRecord
    from haulwright.trials.result import Phase as Phase
    from haulwright.trials.result import TrialResult as TrialResult
    from haulwright.trials.run_store import RunStore as RunStore
    from haulwright.trials.traces import RunTraces as RunTraces

__all__ = [
    "Demo",
    "Files",
    "Given",
    "backup_book",
    "book_exit_code",
    "check_campaign",
    "check_exit_code",
    "check_readings",
    "demo",
    "design_campaign",
    "draw_rig",
    "estimate_resistance",
    "examples",
    "export_book",
    "file_rig",
    "find_tackles",
    "import_to_book",
    "kept_campaign",
    "kit_exit_code",
    "lay_out_rig",
    "list_kit_kinds",
    "list_pull_kinds",
    "list_rigs",
    "list_sheaves",
    "make_plan",
    "make_problems",
    "measure_campaign",
    "measure_trial",
    "new_book",
    "offered_tackles",
    "overview_campaign",
    "plan_exit_code",
    "plan_pull",
    "plan_rig",
    "plan_sheet",
    "pocket_card",
    "predict_campaign",
    "publish_bundle",
    "publish_card",
    "publish_chart",
    "publish_charts",
    "publish_inspection_sheet",
    "publish_pocket_card",
    "publish_problems",
    "publish_pull",
    "publish_report",
    "publish_run_sheet",
    "publish_workbook",
    "published_check",
    "read_rig",
    "read_trial",
    "readings_exit_code",
    "recompute_bundle",
    "recompute_exit_code",
    "record_seen",
    "rig_in_words",
    "rig_of_text",
    "sheet_of_design",
    "show_book",
    "show_kit",
    "show_rig",
    "show_run",
    "show_trial",
    "simulate_campaign",
    "solve_at_stall",
    "solve_rig",
    "stated_stall",
    "step_pull",
    "trace_run",
    "trace_trial",
    "try_run",
    "with_stall",
    "write_design",
    "write_devices",
    "write_plan",
    "write_results",
]
