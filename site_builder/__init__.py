"""Pictures, pages, paperwork and the command line."""
