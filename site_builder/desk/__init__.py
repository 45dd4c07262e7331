"""The desk: pages on which the maker edits her files in the browser, on this machine only."""
