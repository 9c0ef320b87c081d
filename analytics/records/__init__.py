"""Reading: exports and settings into checked tables; what was rejected and why."""
