"""A garment as makers of loop yarn write it down: a list of numbers, by size or for one.

`reading` makes numbers of the words, `sums` says what of them does not fit together, and
`garment` is the door: the plan of a list, and its check.
"""
