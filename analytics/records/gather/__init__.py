"""Everything that was found in the exports, put together as tables of the plain layout."""
