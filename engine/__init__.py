"""The work: scripts, progress, ears. Knows nothing of the screen."""
