"""Job packs: what is to be pulled and done, and texts that cannot break out of the page."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from analytics.decisions.haul_outs import HaulOuts
from analytics.papers.cautions import AFTER_LAUNCH, CAUTIONS, NOT_AN_INSPECTION
from analytics.papers.job_packs import job_packs
from analytics.papers.yard_tables import jobs_table
from analytics.records.settings import Settings
from tests.analytics.decisions.yard_fleet import life, planned

ODD = "Wren \"the old\" & <script>alert('x')</script> 🐦 " + "é" * 200
SEALS = (
    {"kind": "bellows", "part_price": "100", "labour_hours": "6", "shared_hours": "1"},
)  # fmt: skip


class Page(HTMLParser):
    """Tags, and texts as a browser shows them, section by section."""

    def __init__(self, document: str) -> None:
        super().__init__()
        self.tags: Counter[str] = Counter()
        self.sections = [""]
        self.attributes: list[tuple[str, str | None]] = []
        self.feed(document)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags[tag] += 1
        self.attributes += attrs
        if tag == "section":
            self.sections.append("")

    def handle_data(self, data: str) -> None:
        self.sections[-1] += data + "|"


@pytest.fixture(scope="module")
def found() -> HaulOuts:
    parts = [
        life(ODD, "bellows", "2005-03-01", "2010-07-01", "failed"),
        {**life(ODD, "bellows", "2012-03-01"), "part_no": "<b>B</b>-30", "size": '30 "mm" & co'},
    ]
    return planned(parts=parts, boats=({"boat": ODD, "base": "<img src=x>"},), prices=SEALS)


@pytest.fixture(scope="module")
def page(found: HaulOuts) -> Page:
    return Page(job_packs(found, jobs_table(found), Settings(name="A <i>fleet</i>"), "f" * 64))


def test_no_text_of_the_user_becomes_markup(page: Page, found: HaulOuts) -> None:
    assert not page.tags.keys() & {"script", "img", "i", "iframe", "link"}
    assert {name for name, _ in page.attributes} <= {"lang", "charset", "name", "content", "class"}
    boat = found.plan.hauls[0].boat
    assert boat in page.sections[1]
    for text in ("<img src=x>", "<b>B</b>-30", '30 "mm" & co', "🐦"):
        assert text in page.sections[1]
    assert "A <i>fleet</i>" in page.sections[0]


def test_each_boat_has_a_sheet_with_jobs_cautions_and_checks(page: Page, found: HaulOuts) -> None:
    assert len(page.sections) == 1 + len(found.plan.hauls) == 2
    sheet = page.sections[1]
    (haul,) = found.plan.hauls
    for text in (str(haul.week), str(haul.launch), f"{haul.hours:g} hours", "past its written"):
        assert text in sheet
    assert all(caution in sheet for caution in (*CAUTIONS, *AFTER_LAUNCH))
    before = sheet.index(CAUTIONS[1])
    assert before < sheet.index("After launch|") < sheet.index(AFTER_LAUNCH[0])
    assert NOT_AN_INSPECTION in page.sections[0]


def test_what_is_left_and_what_may_be_worn_is_to_be_looked_at() -> None:
    found = planned()
    jobs = jobs_table(found)
    sheets = Page(job_packs(found, jobs, Settings(), "f" * 64)).sections[1:]
    sheet = next(one for one in sheets if one.startswith("Penny Wren"))
    assert "face seal: left in, with a chance of" in sheet
    worn = found.parts.assign(risk_hidden=0.34)
    told = job_packs(replace(found, parts=worn), jobs, Settings(), "f" * 64)
    assert "may be worn already, unseen afloat (chance 34 %)" in told


def test_parts_to_pull_are_counted_by_number_and_size(page: Page) -> None:
    assert "Number|Kind|Part number|Size|" in page.sections[0].replace("\n|", "")
    assert '1|Bellows|<b>B</b>-30|30 "mm" & co|' in page.sections[0].replace("\n|", "")
