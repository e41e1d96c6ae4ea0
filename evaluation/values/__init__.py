"""Frozen values of the trial book: briefs, trials, people, descriptors, decisions."""
