"""Results as tables for screen and file: where numbers are rounded."""
