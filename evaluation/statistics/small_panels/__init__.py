"""Several answers from each of a few people: what holds for this panel, and for people like it."""
