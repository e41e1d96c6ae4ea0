"""Findings: nothing before the key is opened; then the verdict in one sentence, the numbers, and the caveats."""
