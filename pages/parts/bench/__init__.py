"""The bench: links, trays, times, sheets, the log, and answers from paper."""
