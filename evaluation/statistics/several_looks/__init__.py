"""May we stop smelling now? Sessions looked at while they run, with exact risks."""
