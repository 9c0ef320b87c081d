"""What people have on disk, as grids of text: text files, workbooks, and both packed."""
