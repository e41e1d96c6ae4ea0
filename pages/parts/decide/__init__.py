"""Evidence on screen, and decisions written down."""
