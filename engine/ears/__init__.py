"""The ears: from sound to a command, offline."""
