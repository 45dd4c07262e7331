"""The desk: where the maker writes into her files by way of the browser, on this machine only."""
