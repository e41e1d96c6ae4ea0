"""Counts in, verdict words and their numbers out; no sentences, no rounding."""
