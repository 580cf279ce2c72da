"""The command line's own room: arguments, output, and one module per command in `commands`.

It knows no screen. Door: `commands`, which `counter.commandline` finds by name.
"""
