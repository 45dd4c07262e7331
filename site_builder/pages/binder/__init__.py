"""The pages that only the household's binder has."""
