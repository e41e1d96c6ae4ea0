"""What opened sessions of a brief say side by side, where that points, and what would teach most."""
