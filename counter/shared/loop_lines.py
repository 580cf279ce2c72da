"""The list of numbers that makers write instead of measurements, line by line."""

LOOP_LINES = (
    ("foundation", "Foundation", "Loops laid out; left empty, the others make it.", "42"),
    (
        "body",
        "Body",
        "Rows up to the armholes, or '45 cm'; the tape decides it.",
        "your own height",
    ),
    ("front", "Front", "Loops, to how many, over how many rows.", "9 to 5 over 8"),
    ("bind", "Armhole", "Loops bound off at each; the last of them stays.", "4"),
    ("back", "Back", "Loops.", "18"),
    ("sleeve", "Sleeve", "Loops, to how many: one fewer in every other round.", "25 to 15"),
)
"""Name, label, what it is for, and an example."""
