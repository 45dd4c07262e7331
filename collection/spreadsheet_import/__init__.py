"""Imports a maker's own spreadsheet as draft records of quilts, with an account of where each cell went."""
