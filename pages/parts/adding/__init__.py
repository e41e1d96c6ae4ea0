"""The page Series: what each says so far, its next sitting, and the form of a final."""
