"""The app in a browser on this machine, whose microphone and journals it uses.

`door` says who comes in, `seat` whose turn it is, `served` is the program, `browser` the page that
is sent. Door: `serving.BrowserServer`.
"""
