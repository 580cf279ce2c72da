"""The app in a browser on this machine: `serving` decides who may come in.

`browser` holds the page that is sent.
"""
