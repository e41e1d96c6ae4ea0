"""Which is liked better: votes between two, pairs and ranks among several, and camps in the panel."""
