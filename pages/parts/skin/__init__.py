"""The page Skin, tab by tab."""
