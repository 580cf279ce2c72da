"""The commands that open a room of their own: the app, the demo, the browser.

They may use every other room; nothing but the command line uses them.
"""
