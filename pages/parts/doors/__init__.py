"""Who comes in, and what is shown at the doors."""
