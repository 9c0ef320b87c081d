"""From the files people have to the tables of the plain layout: headers, codes and words."""
