"""What meets the maker: screens, command line, browser, sound and paper.

The ways in (`tui`, `cli`, `web`) do not know each other; what they share is in `shared`. Door:
`commandline.main`.
"""

import os

# pydantic looks through every installed package for plugins of its own: we have none, and a start
# would wait for it.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
