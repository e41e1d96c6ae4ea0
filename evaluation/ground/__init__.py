"""What everything stands on: argument checks, closed sets of words, one spelling, digits, HTML, places."""
