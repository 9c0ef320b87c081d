"""What people decided about findings, kept beside the data and replayed on every later export."""
