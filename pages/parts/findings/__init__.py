"""Findings of every kind: on the page and as files."""
