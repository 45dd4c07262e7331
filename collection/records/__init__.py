"""What the files of a collection may hold."""
