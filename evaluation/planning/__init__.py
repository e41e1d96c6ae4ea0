"""What a plan can find, worked out before anybody smells."""
