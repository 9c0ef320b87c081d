"""What if: a plan changed in some respects, beside today's, on the same simulated futures."""
