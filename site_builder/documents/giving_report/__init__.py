"""The giving report of a year as a file: a spreadsheet, a table, a printed page or a PDF, from one computation."""
