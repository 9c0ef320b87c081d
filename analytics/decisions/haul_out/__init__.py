"""The haul-out plan of a lay-up season: which boat is lifted when, and what is done to her.

Data flows one way: problem -> bundles, admission -> options -> conflicts -> packing -> model ->
plan -> planning -> slot_worth, second_haul, changes. Nothing here reads files, simulates lives
or knows of pages.
"""
