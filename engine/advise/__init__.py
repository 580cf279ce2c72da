"""What tape, fit, yarn and a dropped loop mean for the rest of a make.

Nothing here moves a make: it proposes, with costs. Doors: `choices.of`, `replan.replanned`,
`yarn.forecast`, `pace.left`, `repair.advise`.
"""
