"""Alone: what is prepared in one go, what comes next, and how long it takes. Knows no store and no screen."""
