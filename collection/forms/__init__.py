"""Forms for records: questions in a sensible order, and answers written back into the maker's own file."""
