"""The README's pictures: `python -m tests.pictures [FOLDER]` draws the main screens as SVG.

Textual draws them; no browser is needed. Without a folder they go to `tests/pictures`.
"""

import asyncio
import sys
import tempfile
from pathlib import Path

from tests.tui.scenes import SCENES, played

FOLDER = Path(__file__).parent / "pictures"
PICTURES = {
    "row": ("row", (80, 24)),
    "row-wide": ("row-marked", (120, 40)),
    "row-small": ("row", (40, 15)),
    "question": ("row-question", (80, 24)),
    "measure": ("measure", (80, 24)),
    "light": ("row-light", (80, 24)),
    "shelf": ("shelf", (80, 24)),
    "new-make": ("form", (80, 30)),
    "piece": ("piece", (100, 30)),
    "journal": ("journal", (80, 24)),
    "words": ("help", (80, 30)),
}
"""Picture: the scene and the size of its terminal, columns × rows."""


async def draw(folder: Path) -> None:
    """Every picture into the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, (scene, size) in PICTURES.items():
        with tempfile.TemporaryDirectory() as data:
            async with played(SCENES[scene], size, Path(data)) as (app, _):
                picture = app.export_screenshot(title="spokenrow")
        # Rich numbers its classes anew each time: a name of our own keeps the file the same.
        number = picture.split("terminal-", 1)[1].split("-", 1)[0]
        (folder / f"{name}.svg").write_text(
            picture.replace(f"terminal-{number}", f"spokenrow-{name}"), encoding="utf-8"
        )


if __name__ == "__main__":
    asyncio.run(draw(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER))
