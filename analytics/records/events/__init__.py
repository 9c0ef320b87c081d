"""From events, one a job or inspection, to lives, one a part in a place."""
