"""From what the maker wishes to a plan, and from a plan to a proven script.

Door: `planning.make_plan` and `planning.script_for`.
"""
