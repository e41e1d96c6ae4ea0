"""From what people answered to counts and ratings: from a session, or from a file."""
