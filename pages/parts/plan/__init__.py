"""The plan form, its live numbers, and what it is filled from."""
