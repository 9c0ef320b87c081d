"""The pages in the browser; every figure on them comes from `analytics`."""

# Before numpy: analytics says how many threads its linear algebra may take.
import analytics as analytics
