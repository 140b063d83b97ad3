"""Chooses which exercises go on a day's sheet, and says why.

    sheet = plan_sheet(items, events, today, minutes)

Each sheet has two lanes. Half of the playing minutes go strictly to whatever has waited longest; this alone
gives the promise: within how many practice days everything comes round, whatever the ratings and the days off. The
rest goes to what is most overdue against its own wanted gap, spread round the circle of fifths or in one key.

Pure: no files, no clock, no chance. The same list, log, day and minutes give the same sheet.
"""

from generator.rotation.changes import ListChanges, list_changes
from generator.rotation.day_sheet import RULE_VERSION, plan_sheet
from generator.rotation.item_table import ItemTable
from generator.rotation.promise import best_floor, lengths_of, lower_bound, minutes_needed
from generator.rotation.records import (
    DatedList,
    DaySheet,
    Event,
    Item,
    Lane,
    Remark,
    Row,
    Topic,
)
from generator.rotation.rest import minutes_with_rest, rest_minutes
from generator.rotation.theme import Theme

__all__ = [
    "RULE_VERSION",
    "DatedList",
    "DaySheet",
    "Event",
    "Item",
    "ItemTable",
    "Lane",
    "ListChanges",
    "Remark",
    "Row",
    "Theme",
    "Topic",
    "best_floor",
    "lengths_of",
    "list_changes",
    "lower_bound",
    "minutes_needed",
    "minutes_with_rest",
    "plan_sheet",
    "rest_minutes",
]
