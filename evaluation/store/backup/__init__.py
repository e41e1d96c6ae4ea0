"""A whole notebook in one file, and the way back: ``form`` (the file), ``making``, ``restoring``, ``checking``."""
