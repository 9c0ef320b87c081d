"""What is said of the curves where the parts of a kind are not all alike; no Streamlit."""

from __future__ import annotations

TYPICAL_AND_MIX = (
    "**Full line with its band:** the typical part, as all other pages use it. **Dotted line:** "
    "the same fit, of the mix of parts that was watched at each age, from good bases and lots and "
    "from bad ones. **Steps:** the records' own curve (Kaplan-Meier), without any assumed form, "
    "each life counted only while it was watched; it is of that mix too, so hold the steps against "
    "the dotted line. Where those two part, trust the fit less. Where the dotted line leaves the "
    "full one, the parts watched last shorter or longer than the typical part. Below the axis: how "
    "many lives were watched at that age."
)
TYPICAL_RATE = "All lines here are of the typical part."
