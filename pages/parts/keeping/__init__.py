"""Copies of the notebook: when the last one was made, and how one is taken out and back in."""
