"""Which of several changes did it: bottles that separate them, and materials suspected of a note."""
