"""The command line, one module per command.

Each module has `add(subparsers)`, which adds its parser and sets `handler`: a function of the
parsed arguments that returns the exit code. `counter.commandline` finds them here.
"""
