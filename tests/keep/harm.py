"""Ways in which a file goes bad, chosen at random from a seed."""

import random
from pathlib import Path


def harm(path: Path, dice: random.Random) -> str:
    """Damage one file as disks, power cuts and people do; says how."""
    content = bytearray(path.read_bytes())
    size = len(content)
    kind = dice.choice(["cut", "bit", "zeros", "noise", "tail", "gone", "empty", "swapped"])
    at = dice.randrange(size) if size else 0
    if kind == "cut":
        del content[at:]
    elif kind == "bit" and size:
        content[at] ^= 1 << dice.randrange(8)
    elif kind == "zeros":
        content[at : at + 512] = bytes(len(content[at : at + 512]))
    elif kind == "noise":
        content[at : at + 300] = dice.randbytes(len(content[at : at + 300]))
    elif kind == "tail":
        content += dice.randbytes(dice.randrange(1, 5000))
    elif kind == "swapped" and size > 8192:
        content[4096:8192], content[0:4096] = content[0:4096], content[4096:8192]
    elif kind == "empty":
        content = bytearray()
    if kind == "gone":
        path.unlink()
    else:
        path.write_bytes(content)
    return f"{kind} at {at} of {size}"
