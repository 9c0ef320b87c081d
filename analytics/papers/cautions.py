"""The cautions that stand beside every recommendation, and the limits of what is claimed.

Common practice, no source; the part maker's instructions, local codes and
qualified people come before all of them.
"""

NOT_AN_INSPECTION = (
    "These are statistical risks from past records, not an inspection. A low figure is no reason "
    "to ignore a leak, and nothing here clears a boat for use."
)

AFTER_LAUNCH = (
    "After launch bleed trapped air, see that water reaches the seal, and check it at rest, in "
    "gear, and again after 24 hours.",
    "Keep a tapered plug, pump and alarm ready. Black dust, spray, heat or a changed drip: stop "
    "and look for the cause.",
    "If a boat is taking water: people first, and call for help. No reading of charts.",
)
"""Those that hold once the boat is afloat again."""

CAUTIONS = (
    NOT_AN_INSPECTION,
    "The part maker's instructions, local codes and a qualified surveyor or technician come first.",
    "Loosening a seal afloat can sink the boat: do it ashore, unless someone competent does it "
    "with plugs, pump and lift standing by.",
    "Never pry, strike or lever against the brittle carbon face; keep grease, oil and solvents off "
    "faces and rubber unless the maker names them.",
    "Fit new set screws and do not reuse the old ones; fit a safety collar only as the maker "
    "allows.",
    AFTER_LAUNCH[0],
    "Stop the engine and isolate its starting before any work; keep hands and loose clothing clear "
    "of shafts that can turn.",
    "Check sling positions and weight, never work beneath a slung boat, chock first. With divers "
    "in the water the engine keys are out.",
    *AFTER_LAUNCH[1:],
)
