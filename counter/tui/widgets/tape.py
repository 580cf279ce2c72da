"""Small drawings of where a tape goes. A measurement without one is explained by its line alone."""

_GARMENT = {
    "bust": """
 ┌──╮ ╭──┐
┌┤  ╰─╯  ├┐
││◀━━━━━▶││ and on round the back
└┤       ├┘
 └───────┘""",
    "body_height": """
 ┌──╮ ╭──┐
┌┤  ╰─╯  ├┐
└┤   ▲   ├┘
 │   ┃   │
 └───▼───┘""",
    "armhole_depth": """
 ┌──╮ ╭──┐
┌┤▲ ╰─╯  ├┐
└┤▼      ├┘
 │       │
 └───────┘""",
    "neck_width": """
    ◀━━▶
 ┌──╮  ╭──┐
┌┤  ╰──╯  ├┐
└┤        ├┘
 └────────┘""",
    "underarm": """
 ┌──╮ ╭──┐
┌┤  ╰─╯  ├┐
└┤       ├┘
 ▶━◀ under the arm
 └───────┘""",
    "back_neck_to_cuff": """
     ●━━━━━━━▶
 ┌───┴───┐━━━┓
┌┤       ├┐  ┃
└┤       ├┘  ▼ wrist
 └───────┘""",
    "ease": """
 body   ├─────┤
 make ├─────────┤
      ◀▶ ease ◀▶""",
    "overlap": """
 ┌──╮ ╭──┐
┌┤  │▓│  ├┐
└┤  │▓│  ├┘
 │  │▓│  │
 └──┴─┴──┘""",
}
_ROUND = """
  ╭──────╮
▶━┿━━━━━━┿━◀ once around
  ╰──────╯"""
_WIDTH = """
┌──────────┐
│          │
└──────────┘
◀━━━━━━━━━━▶"""
_HEIGHT = """
┌──────────┐ ▲
│          │ ┃
│          │ ┃
└──────────┘ ▼"""
_OTHER = {
    "head": _ROUND,
    "around": _ROUND,
    "upper_arm": _ROUND,
    "cuff": _ROUND,
    "width": _WIDTH,
    "height": _HEIGHT,
    "brim": _HEIGHT,
    "gauge": """
  ◀━ 10 cm ━▶
 ▲ U U U U U   loops across
 ┃ U U U U U   and rows up,
 ▼ U U U U U   in 10 cm""",
}
_DRAWINGS = {name: text.strip("\n") for name, text in {**_GARMENT, **_OTHER}.items()}


def drawing(name: str) -> str:
    """The drawing of a measurement; empty where there is none."""
    return _DRAWINGS.get(name, "")
