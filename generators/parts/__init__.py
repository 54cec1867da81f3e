"""One file for each part, all of the same shape: section, dimensions, dimension(), pieces(), part()."""
