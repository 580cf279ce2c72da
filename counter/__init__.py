"""The Textual app and the command line."""
