"""The frozen types that templates receive."""
