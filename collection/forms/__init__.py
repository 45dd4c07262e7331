"""Forms for the records: what is asked, in a person's order, and answers written back into the maker's own file."""
