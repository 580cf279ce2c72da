"""The types everything else speaks in: frozen pydantic models that import nothing of ours.

`plan`, `script`, `event`, `state` and `command` are the road of a make. Door: `frozen.Frozen`, what
all of them are; `text` makes what others wrote legible.
"""
