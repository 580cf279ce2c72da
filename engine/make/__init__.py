"""The make in work. `progress` is the state machine: read its top first.

`decisions` says what a command means; `conversation` holds a question until it is answered;
`making.Making` is the one door for word, key and command line; `answers` and `history` are what
is said of it.
"""
