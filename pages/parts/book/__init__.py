"""The trial book: descriptors, targets, and what a panel misses."""
