"""Packaging day's sums: what the beer holds, and what it would do in a sealed bottle."""

from __future__ import annotations

from lullwort.packaging_day.addedgas import NOTHING_ADDED, gas_of_priming, gas_to_target, priming_kind, wort_gravities
from lullwort.packaging_day.blend import LeftInBlend, Part, blend_figures, left_in_blend
from lullwort.packaging_day.bottledoubts import bottle_doubts
from lullwort.packaging_day.bottlewords import lots_say
from lullwort.packaging_day.bottling import BOTTLING_EXPLAINED, FilledLot, Filling, filling_of, usual_bottles
from lullwort.packaging_day.bythen import batch_by_then
from lullwort.packaging_day.checklist import CHECKLIST_EXPLAINED, LABELS_FIRST, Stage, Step, checklist, stage_says
from lullwort.packaging_day.circumstances import Circumstances
from lullwort.packaging_day.containers import (
    CONTAINERS,
    LIMIT_EXPLAINED,
    ROOM_C,
    USUAL_CONTAINER,
    Container,
    Limit,
    limit_bar_from_volumes,
    limit_bar_of,
    limit_of,
)
from lullwort.packaging_day.danger import Danger, danger_of
from lullwort.packaging_day.dates import (
    CRASH_DAYS,
    CRASH_DAYS_MOST,
    DATES_EXPLAINED,
    Dates,
    DaySpan,
    Wish,
    packaging_dates,
)
from lullwort.packaging_day.datewords import calendar_days, crash_says, packaging_says, rest_says, wish_says
from lullwort.packaging_day.doubted import figures_doubted, gravity_doubted
from lullwort.packaging_day.doubts import Doubts, doubts_now, doubts_of
from lullwort.packaging_day.eventwords import event_says
from lullwort.packaging_day.explaining import ADDED_EXPLAINED, BLEND_EXPLAINED, FIGURES_EXPLAINED, RULES_EXPLAINED
from lullwort.packaging_day.fillingwords import filling_says, moved_says
from lullwort.packaging_day.held import (
    COLDEST_C,
    HELD_EXPLAINED,
    HELD_MOST_G_L,
    Held,
    held_at,
    held_by,
    held_by_gauge,
    held_stated,
)
from lullwort.packaging_day.mending import Mending, mending_of
from lullwort.packaging_day.moved import MOVED_EXPLAINED, Moved, measured_volume, moved_of
from lullwort.packaging_day.nolonger import no_longer_says
from lullwort.packaging_day.pointsgas import points_g_l, points_most_g_l
from lullwort.packaging_day.present import (
    gravities_so_far,
    original_gravity,
    present_gravity,
    pressure_lift,
    strength_so_far,
)
from lullwort.packaging_day.priming import (
    PRIMING_FOR_EXPLAINED,
    SYRUP_EXPLAINED,
    USUAL_TARGETS,
    Priming,
    Syrup,
    carbonation_of,
    priming_for,
    syrup_for,
)
from lullwort.packaging_day.rising import may_rise_us, rises
from lullwort.packaging_day.sealing import SEALING_EXPLAINED, SEALING_TEMPS_C, AtTemp, Sealing, sealing_of
from lullwort.packaging_day.sealingwords import TempRow, closing_caution, temp_rows
from lullwort.packaging_day.sheet import (
    CheckRow,
    EventRow,
    Row,
    Section,
    Sheet,
    event_rows,
    next_of,
    reasons_of,
    sheet_of,
)
from lullwort.packaging_day.sheetexplained import SHEET_EXPLAINED, sheet_explained
from lullwort.packaging_day.sheetfacts import SheetFacts, TempAt, ToldThen, sheet_facts
from lullwort.packaging_day.sheetsealing import Closed, closed_of
from lullwort.packaging_day.steppeddown import advised
from lullwort.packaging_day.strength import (
    ENERGY_ML,
    Added,
    Gravities,
    Put,
    alcohol_by_volume,
    figures_of,
    strength_figures,
)
from lullwort.packaging_day.strengthwords import strength_says
from lullwort.packaging_day.today import FALLS, Today, Unsaid, sealing_now, today_of
from lullwort.packaging_day.uncertain import SPREAD, Error, Estimate, estimated, ranges

__all__ = [
    "ADDED_EXPLAINED",
    "BLEND_EXPLAINED",
    "BOTTLING_EXPLAINED",
    "CHECKLIST_EXPLAINED",
    "COLDEST_C",
    "CONTAINERS",
    "CRASH_DAYS",
    "CRASH_DAYS_MOST",
    "DATES_EXPLAINED",
    "ENERGY_ML",
    "FALLS",
    "FIGURES_EXPLAINED",
    "HELD_EXPLAINED",
    "HELD_MOST_G_L",
    "LABELS_FIRST",
    "LIMIT_EXPLAINED",
    "MOVED_EXPLAINED",
    "NOTHING_ADDED",
    "PRIMING_FOR_EXPLAINED",
    "ROOM_C",
    "RULES_EXPLAINED",
    "SEALING_EXPLAINED",
    "SEALING_TEMPS_C",
    "SHEET_EXPLAINED",
    "SPREAD",
    "SYRUP_EXPLAINED",
    "USUAL_CONTAINER",
    "USUAL_TARGETS",
    "Added",
    "AtTemp",
    "CheckRow",
    "Circumstances",
    "Closed",
    "Container",
    "Danger",
    "Dates",
    "DaySpan",
    "Doubts",
    "Error",
    "Estimate",
    "EventRow",
    "FilledLot",
    "Filling",
    "Gravities",
    "Held",
    "LeftInBlend",
    "Limit",
    "Mending",
    "Moved",
    "Part",
    "Priming",
    "Put",
    "Row",
    "Sealing",
    "Section",
    "Sheet",
    "SheetFacts",
    "Stage",
    "Step",
    "Syrup",
    "TempAt",
    "TempRow",
    "Today",
    "ToldThen",
    "Unsaid",
    "Wish",
    "advised",
    "alcohol_by_volume",
    "batch_by_then",
    "blend_figures",
    "bottle_doubts",
    "calendar_days",
    "carbonation_of",
    "checklist",
    "closed_of",
    "closing_caution",
    "crash_says",
    "danger_of",
    "doubts_now",
    "doubts_of",
    "estimated",
    "event_rows",
    "event_says",
    "figures_doubted",
    "figures_of",
    "filling_of",
    "filling_says",
    "gas_of_priming",
    "gas_to_target",
    "gravities_so_far",
    "gravity_doubted",
    "held_at",
    "held_by",
    "held_by_gauge",
    "held_stated",
    "left_in_blend",
    "limit_bar_from_volumes",
    "limit_bar_of",
    "limit_of",
    "lots_say",
    "may_rise_us",
    "measured_volume",
    "mending_of",
    "moved_of",
    "moved_says",
    "next_of",
    "no_longer_says",
    "original_gravity",
    "packaging_dates",
    "packaging_says",
    "points_g_l",
    "points_most_g_l",
    "present_gravity",
    "pressure_lift",
    "priming_for",
    "priming_kind",
    "ranges",
    "reasons_of",
    "rest_says",
    "rises",
    "sealing_now",
    "sealing_of",
    "sheet_explained",
    "sheet_facts",
    "sheet_of",
    "stage_says",
    "strength_figures",
    "strength_says",
    "strength_so_far",
    "syrup_for",
    "temp_rows",
    "today_of",
    "usual_bottles",
    "wish_says",
    "wort_gravities",
]
