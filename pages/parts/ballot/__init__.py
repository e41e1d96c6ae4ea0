"""The screens of a panelist's phone."""
