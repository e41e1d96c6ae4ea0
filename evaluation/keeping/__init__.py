"""Backups by command, and the copies the app makes of its notebook by itself."""
