"""The commands that open a room of their own: `app`, `demo`, `serve`.

They may use every other room; nothing but the command line uses them, and finds them by name.
"""
