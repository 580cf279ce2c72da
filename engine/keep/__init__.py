"""A make on disk, in a file, and proven again. Door: `store.Store`.

`journal` is how no single fault loses it; `exchange` is the open file; `verify` replays everything.
"""
