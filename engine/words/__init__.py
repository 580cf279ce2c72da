"""The command words, one data file per language."""
