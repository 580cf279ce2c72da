"""The craft's arithmetic: published sizes, swatches, even spacing, picking up by the gauge.

Numbers in, numbers out; no script and no plan is known here. Doors: `sizes`, `spacing`, `pickup`,
`swatch`.
"""
