"""The Textual app: `app` is the door; a screen knows it only as `host.Host`.

`screens` are pages, `widgets` the things on them, `spokenrow.tcss` how they look.
"""
