"""The pages in the browser; every figure on them comes from `analytics`."""
