"""What a maker is told where a thing can hurt; each defers to those who know."""

SAFE_SLEEP = (
    "Nothing soft or loose belongs in the cot of a child under twelve months, no blanket and no "
    "pillow (American Academy of Pediatrics, 2022): use it only under your eye, and ask your "
    "midwife or doctor"
)
"""Source: American Academy of Pediatrics, safe sleep recommendations of 2022 (from memory)."""

CHEWED = (
    "Take it away when it is chewed or loops come loose, and ask your vet what is safe to lie on"
)
"""Common practice, no source."""
