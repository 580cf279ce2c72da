"""Written patterns: read by a grammar, counted row by row and size by size, made into scripts.

`read` turns the text into statements, `check` counts every row for every size, `make` leads to the
same row script as a built-in design. NOTATION.md beside this file shows what may be written.
"""

from engine.pattern.check import check_pattern, check_row
from engine.pattern.make import expanded_rows, plan_from_text, script_of

__all__ = ["check_pattern", "check_row", "expanded_rows", "plan_from_text", "script_of"]
