"""From a maker's own spreadsheet to draft records of quilts, with an account of what became of each cell."""
