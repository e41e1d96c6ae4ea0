"""What people rated: differences, words, levels, and how each person uses the scale."""
