"""From a pattern's text to statements: `read` is the door.

`pattern.lark` is the grammar, `rules_*` turn what it finds into `row_items` and `statements`.
"""
