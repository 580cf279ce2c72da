"""The colours, dark and light.

Every colour that carries words is at least 7:1 against its ground (computed in the tests), and no
colour says anything that a word or a shape does not say too.
"""

from textual.theme import Theme

from counter.shared.settings import Look

DARK = Theme(
    name="spokenrow-dark",
    dark=True,
    primary="#ffd166",
    secondary="#8fe3d0",
    accent="#ffd166",
    warning="#ffd166",
    error="#ffb3a1",
    success="#8fe3d0",
    foreground="#fff9ee",
    background="#12100e",
    surface="#12100e",
    panel="#26221d",
    variables={
        "quiet": "#c9bfb0",
        "footer-background": "#12100e",
        "input-selection-background": "#5a4a20",
        "block-cursor-foreground": "#12100e",
        "block-cursor-background": "#ffd166",
        "block-cursor-blurred-foreground": "#fff9ee",
        "block-cursor-blurred-background": "#3b352c",
    },
)
LIGHT = Theme(
    name="spokenrow-light",
    dark=False,
    primary="#6a2a00",
    secondary="#004a40",
    accent="#6a2a00",
    warning="#6a2a00",
    error="#8a1020",
    success="#004a40",
    foreground="#17120c",
    background="#fffdf7",
    surface="#fffdf7",
    panel="#efe8da",
    variables={
        "quiet": "#4a4238",
        "footer-background": "#fffdf7",
        "input-selection-background": "#e0c898",
        "block-cursor-foreground": "#fffdf7",
        "block-cursor-background": "#6a2a00",
        "block-cursor-blurred-foreground": "#17120c",
        "block-cursor-blurred-background": "#ddd3c0",
    },
)
THEMES = {Look.DARK: DARK, Look.LIGHT: LIGHT}
