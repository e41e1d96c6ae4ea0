"""The page Separate changes, step by step."""
