"""Lists of boats, hours, haul-outs and prices with headers, words and numbers of somebody's own."""

from tests.analytics.records.mapped_folder import counts, export, plain, read, rows, told

PARTS = plain("parts.csv", "boat|kind|fitted_on\nPenny Wren|bellows|2016-05-03")
BOATS = export(
    "fleet list.csv",
    "boats",
    {
        "boat": "Vessel",
        "hull_no": "Hull",
        "was_named": "Formerly",
        "renamed_on": "Renamed",
        "built_on": "Built",
        "joined_on": "Since",
        "left_on": "Sold",
        "base": "Base",
        "shafts": "Engines",
        "shaft_size": "Shaft",
        "lay_up": "Winter",
        "water": "Water",
        "hours_per_season": "Hrs",
    },
    """Vessel|Hull|Formerly|Renamed|Built|Since|Sold|Base|Engines|Shaft|Winter|Water|Hrs
Penny Wren|H1|Tin Lantern|01/06/2018|2012|15/01/2013||North Quay|1|30 mm|on the hard|sea|250,5
Quiet Otter|H2|||2012-05-01|2012-06||North Quay|2|1 1/4"|afloat|lake|1.200
|H5|||2016|||East Base|1||dry|river|
Swift|H3|||2016|||East Base|1||||
Swift|H4|||2017||12/2021|East Base|1|||salt|
||||||||Total 5||||""",
)


def test_boats() -> None:
    records = read(BOATS, PARTS)
    assert rows(
        records, "boats.csv", "boat", "built_on", "joined_on", "lay_up", "water",
        "hours_per_season", "shafts",
    ) == [
        ("H5", "2016-01-01..2016-12-31", "", "ashore", "fresh", "", "1"),
        ("Penny Wren", "2012-01-01..2012-12-31", "2013-01-15", "ashore", "salt", "250.5", "1"),
        ("Quiet Otter", "2012-05-01", "2012-06-01..2012-06-30", "afloat", "fresh", "1200", "2"),
        ("Swift (H3)", "2016-01-01..2016-12-31", "", "", "", "", "1"),
        ("Swift (H4)", "2017-01-01..2017-12-31", "", "", "salt", "", "1"),
    ]  # fmt: skip
    assert counts(records, "fleet list.csv") == {"rows_read": 6, "used": 5, "ignored": 1}


def test_hours_by_name_hull_and_side() -> None:
    log = export(
        "log.csv",
        "hours",
        {"boat": "Boat", "hull_no": "Hull", "position": "Engine", "read_on": "Date", "hours": "H"},
        """Boat|Hull|Engine|Date|H
Penny Wren|||15/03/2017|1.200,5
Tin Lantern|||15/03/2018|1.400,5
Quiet Otter||port engine|15/03/2018|900
Quiet Otter||2|15/03/2018|901
|H3||15/03/2018|10
Swift|||15/03/2018|11
Nobody|||15/03/2018|11
Penny Wren|||n/a|11
Penny Wren|||16/03/2018|eleven""",
        words={"position": {"2": "starboard"}},
    )
    records = read(BOATS, PARTS, log)
    assert rows(records, "hours.csv", "boat", "position", "read_on", "hours") == [
        ("Penny Wren", "single", "2017-03-15", "1200.5"),
        ("Penny Wren", "single", "2018-03-15", "1400.5"),
        ("Quiet Otter", "port", "2018-03-15", "900"),
        ("Quiet Otter", "starboard", "2018-03-15", "901"),
        ("Swift (H3)", "single", "2018-03-15", "10"),
    ]
    assert counts(records, "log.csv") == {"rows_read": 9, "used": 5, "rejected": 4}
    (renamed,) = told(records, "boat_renamed")
    assert (renamed.file, renamed.row) == ("log.csv", 3)


def test_haul_outs() -> None:
    lifts = export(
        "haul outs.csv",
        "lifts",
        {"boat": "Boat", "lifted_on": "Out", "launched_on": "In", "yard": "Yard"},
        """Boat|Out|In|Yard
penny wren|13/11/2017|10/04/2018|Tarn Yard
Otter|13/11/2018||Tarn Yard
Quiet Otter||10/04/2018|Tarn Yard""",
    )
    records = read(BOATS, PARTS, lifts)
    assert rows(records, "lifts.csv", "boat", "lifted_on", "launched_on", "yard") == [
        ("Penny Wren", "2017-11-13", "2018-04-10", "Tarn Yard")
    ]
    assert counts(records, "haul outs.csv") == {"rows_read": 3, "used": 1, "rejected": 2}


def test_prices() -> None:
    prices = export(
        "price list.csv",
        "prices",
        {"part_no": "No", "kind": "What", "part_price": "Net", "currency": "Cur",
         "lead_time_days": "Days"},
        """No|What|Net|Cur|Days
BE-30|shaft bellows 30 mm|99,50|EUR|14
CB-30|cutless bearing|1.050,00|EUR|7
X|impeller|10,00|EUR|
LS-30|lip seal|on request|EUR|""",
    )  # fmt: skip
    records = read(BOATS, PARTS, prices)
    assert rows(records, "prices.csv", "kind", "part_no", "part_price", "lead_time_days") == [
        ("bellows", "BE-30", "99.5", "14"),
        ("cutless_bearing", "CB-30", "1050", "7"),
    ]
    assert counts(records, "price list.csv") == {"rows_read": 4, "used": 2, "rejected": 2}


def test_a_newer_price_list_stands_and_what_it_lacks_stays() -> None:
    columns = {"kind": "What", "part_price": "Net"}
    old = export("prices 2023.csv", "prices", columns, "What|Net\nbellows|90\nlip seal|20",
                 pattern="prices *.csv")  # fmt: skip
    new = export("prices 2024.csv", "prices", columns, "What|Net\nbellows|99",
                 pattern="prices *.csv")  # fmt: skip
    records = read(BOATS, PARTS, old, new)
    assert sorted(rows(records, "prices.csv", "kind", "part_price")) == [
        ("bellows", "99"),
        ("lip_seal", "20"),
    ]
    assert counts(records, "prices 2023.csv") == {"rows_read": 2, "used": 1, "merged": 1}


def test_hours_where_the_shaft_is_drawn_anyway() -> None:
    columns = {"kind": "What", "part_price": "Net", "labour_hours": "h", "shared_hours": "h drawn"}
    prices = export("prices.txt", "prices", columns, "What|Net|h|h drawn\nbellows|90|7|1,5\n"
                    "lip seal|20|4|")  # fmt: skip
    records = read(BOATS, PARTS, prices)
    assert rows(records, "prices.csv", "kind", "labour_hours", "shared_hours") == [
        ("bellows", "7", "1.5"),
        ("lip_seal", "4", ""),
    ]
