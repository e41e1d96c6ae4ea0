"""The page Alone, step by step."""
