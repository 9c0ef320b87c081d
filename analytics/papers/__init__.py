"""What people read and print: words, cautions, and tables as files."""
