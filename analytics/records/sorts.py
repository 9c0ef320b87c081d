"""The sorts of finding: what each is called, and what it does to the results.

The sorts are the defects that records of boats' gear really have (common
practice, no source), each with the way it is treated here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Effect = Literal["stops", "loses", "shifts", "widens", "changes", "informs"]
"""What a finding does: nothing can be computed; rows are left out; a result may be off to one
side; intervals are wider; rows were put together or read in a certain way; nothing but good to
know. In the order in which people should look at them."""

EFFECTS: tuple[Effect, ...] = ("stops", "loses", "shifts", "widens", "changes", "informs")


@dataclass(frozen=True)
class Sort:
    """One sort of finding.

    Attributes
    ----------
    key : str
        What code and files call it.
    title : str
        What people call it; begins a line.
    effect : Effect
    """

    key: str
    title: str
    effect: Effect


_LISTED = (
    Sort("short_year", "Years of two figures", "changes"),
    Sort("day_month_order", "Dates that may be day-month or month-day", "widens"),
    Sort("year_only", "Only the year is given", "widens"),
    Sort("month_or_season_only", "Only the month or season is given", "widens"),
    Sort("serial_date", "Dates given as a number of days", "changes"),
    Sort("placeholder_date", "Dates that stand for not known", "widens"),
    Sort("fit_date_unknown", "Parts without a fitting date", "widens"),
    Sort("fitted_before_records", "Parts fitted before the records began", "informs"),
    Sort("failed_fit_date_unknown", "Failed parts without a fitting date", "widens"),
    Sort("fit_assumed_as_built", "Parts said to be as old as the boat", "widens"),
    Sort("removal_entered_twice", "The same removal entered twice", "changes"),
    Sort("job_and_parts_lines", "One job in the list of jobs and in that of parts", "changes"),
    Sort("removed_for_other_work", "Parts taken out while other work was done", "informs"),
    Sort("renewed_by_age", "Parts renewed by age", "informs"),
    Sort("boat_left", "Boats sold or gone from the fleet", "informs"),
    Sort("bought_second_hand", "Boats that joined with parts in place", "informs"),
    Sort("boat_name_unknown", "Boats' names that are not in the list", "loses"),
    Sort("boat_renamed", "Boats under an earlier name", "changes"),
    Sort("boat_name_shared", "Two boats of one name", "loses"),
    Sort("size_not_of_boat", "Parts of a size that the boat has not", "loses"),
    Sort("side_missing", "No side on a boat with two shafts", "loses"),
    Sort("two_parts_one_row", "Two parts on one row", "changes"),
    Sort("side_by_number", "Sides given by numbers", "loses"),
    Sort("meter_replaced", "Hour meters replaced, reset or stuck", "widens"),
    Sort("engine_replaced", "Engines replaced while shaft parts stayed", "changes"),
    Sort("shaft_share_assumed", "Engine hours taken for shaft hours", "shifts"),
    Sort("hours_between_readings", "Hours between readings", "informs"),
    Sort("part_moved", "Parts moved to another boat", "changes"),
    Sort("part_refurbished", "Parts refurbished", "changes"),
    Sort("upkeep_not_renewal", "Upkeep that renews nothing", "informs"),
    Sort("cause_in_free_text", "Reasons in people's own words", "changes"),
    Sort("negated_words", "Words with a 'no' or 'not' before them", "changes"),
    Sort("inch_size", "Sizes in inches", "changes"),
    Sort("number_two_readings", "Numbers that may be two", "loses"),
    Sort("currency_mixed", "Prices in several currencies or with tax", "loses"),
    Sort("removed_before_fitted", "Removed before it was fitted", "loses"),
    Sort("zero_life", "Fitted and removed on one day", "shifts"),
    Sort("lives_overlap", "Two parts in one place at once", "loses"),
    Sort("bought_not_fitted", "Removed or bought, and nothing fitted", "loses"),
    Sort("removal_missing", "A new part fitted, and the old one never removed", "widens"),
    Sort("failure_found_ashore", "Failures found at a haul-out", "widens"),
    Sort(
        "last_sound_missing", "Failures found ashore, last seen sound nobody knows when", "widens"
    ),
    Sort("warranty_swap", "Parts replaced under warranty", "informs"),
    Sort("recalled_lot", "Parts of a lot called back, which had not failed", "informs"),
    Sort("invoice_date", "Invoice dates in place of fitting dates", "widens"),
    Sort("future_date", "Dates after the last day watched", "loses"),
    Sort("only_failures", "Failures without the parts that did not fail", "stops"),
    Sort("records_purged", "Records that begin late", "shifts"),
    Sort("other_kind_of_part", "Parts that are none of a shaft's", "loses"),
    Sort("totals_and_titles", "Titles, totals and blank rows", "informs"),
    Sort("formula_text", "Cells that a spreadsheet would run", "informs"),
    Sort("person_named", "Names of people in remarks", "informs"),
    # Beyond the records themselves: how they were read.
    Sort("header_changed", "Headers that have changed", "loses"),
    Sort("words_unknown", "Codes and words that mean nothing yet", "loses"),
    Sort("cell_unreadable", "Cells that cannot be read", "loses"),
    Sort("file_left_alone", "Files and sheets that are not read", "informs"),
    Sort("file_cut_off", "Files that break off", "loses"),
    Sort("merged_cells", "Cells merged over several rows", "changes"),
    Sort("column_left_alone", "Columns that are not read", "informs"),
    Sort("file_missing", "Tables that are not there", "informs"),
    Sort("setting", "Settings", "informs"),
    Sort("row_again", "The same row in an earlier export", "changes"),
    Sort("reasons_differ", "Entries of one removal with two reasons", "changes"),
    Sort("seen_degraded", "Parts seen worn that still worked", "shifts"),
    Sort("seen_after_removal", "Inspections of parts that had come out", "informs"),
    Sort("inspection_blank", "Inspections that say nothing", "informs"),
    Sort("inspection_unused", "Inspections of parts that no list tells of", "informs"),
    Sort("failed_seen", "Parts seen failed that the list says are fitted", "shifts"),
    Sort("boat_name_by_hull", "Boats under another name than their hull number has", "changes"),
    Sort("life_in_doubt", "Lives that a row which cannot be read may have ended", "shifts"),
    Sort("row_gone", "Rows of an older export that the newer one has not", "shifts"),
    Sort("decided", "Decided by hand", "changes"),
    Sort("outside_records", "Lives outside the time watched", "loses"),
    Sort("boats_from_parts", "Boats taken from the rows about parts", "shifts"),
    Sort("dates_disagree", "Dates that do not agree with each other", "loses"),
    Sort("reason_missing", "Removals without a reason", "shifts"),
    Sort("hours_missing", "Boats without hours", "shifts"),
    Sort("prices_differ", "Rows that price the same parts differently", "changes"),
)

SORTS = {sort.key: sort for sort in _LISTED}
"""Every sort by its key."""
