"""What people write, turned into the words of the plain layout: texts in, meanings out."""
